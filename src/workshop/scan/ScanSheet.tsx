/** The sheet with its five questions: holds the state, hands work to the darkroom, puts everything away. */
import { useEffect, useErrorBoundary, useMemo, useRef, useState } from 'preact/hooks';
import { scanSinogram, type FlatBeam, type Sinogram, type Table2D } from '../../lib/index.ts';
import { chooseSpecimen } from '../../widgets/specimen/choice.ts';
import { forgetOwnSlice, saveOwnSlice } from '../../widgets/specimen/store.ts';
import { sentenceOf } from '../sentence.ts';
import { Bring } from './Bring.tsx';
import { makeSlice, readFile } from './darkroom.ts';
import { faultsOf, type Faults } from './faults.ts';
import { Complaint } from './fields.tsx';
import { forget, recall, remember } from './keep.ts';
import { Look } from './Look.tsx';
import { Make, type Making } from './Make.tsx';
import * as model from './model.ts';
import type { Sheet } from './model.ts';
import { darkCells, lineIntegrals } from './prepare.ts';
import { Question } from './Question.tsx';
import { receive, receivePicture, type GivenFile } from './receive.ts';
import { flatGeometry, scanOf } from './scanfile.ts';
import { TakeAway } from './TakeAway.tsx';
import { Tell } from './Tell.tsx';
import { remarks as remarksOn } from './warnings.ts';
import './scan.css';

/** The sheet, and what stands in its place should it ever fail: what is kept could be the cause, and must not lock the reader out. */
export function ScanSheet() {
  const [failure] = useErrorBoundary();
  if (!failure) return <Questions />;
  return (
    <div class="scan-sheet">
      <p><Complaint>{sentenceOf(failure)}</Complaint></p>
      <p>Loading the page again may help. If it does not, what is kept here may be the cause:</p>
      <p><button type="button" onClick={() => { void forget().finally(() => location.reload()); }}>Forget everything and begin anew</button></p>
    </div>
  );
}

function Questions() {
  const [sheet, setSheet] = useState<Sheet>(model.emptySheet);
  const [ready, setReady] = useState(false);
  const [reading, setReading] = useState(false);
  const [making, setMaking] = useState<Making>();
  const [kept, setKept] = useState<string>();
  const newest = useRef(sheet);
  newest.current = sheet;

  const turn = (change: (sheet: Sheet) => Sheet) => setSheet((now) => change(now));
  const complain = (place: model.Place, error: unknown) => turn((now) => model.complain(now, place, sentenceOf(error)));

  useEffect(() => {
    recall().then((found) => { if (found) setSheet((now) => (now === model.emptySheet ? found : now)); }, () => {}).finally(() => setReady(true));
  }, []);
  useEffect(() => {
    if (!ready) return;
    const timer = setTimeout(() => remember(newest.current).then(() => setKept(undefined), () => setKept('This browser keeps nothing for this page (private window, or no room left), so a reload will lose what lies here.')), 250);
    return () => clearTimeout(timer);
  }, [sheet, ready]);

  const bring = async (files: GivenFile[], sample?: string) => {
    setReading(true);
    try {
      const { brought, scan } = await receive(files, readFile, newest.current.brought);
      making?.stop();
      turn((now) => model.bring(now, { ...brought, sample }, scan));
    } catch (error) {
      complain('brought', error);
    } finally {
      setReading(false);
    }
  };
  const make = async () => {
    const { brought, taken, recipe } = newest.current;
    if (!brought || !taken) return;
    const control = new AbortController();
    const stop = () => control.abort();
    setMaking({ fraction: 0, stop });
    const began = performance.now();
    try {
      const { image, how } = await makeSlice(brought.pages[brought.page], taken, recipe, { signal: control.signal, progress: (fraction) => setMaking({ fraction, stop }) });
      if (newest.current.brought !== brought) return;
      const slice = { image, taken, recipe, page: brought.page, seconds: (performance.now() - began) / 1000, how };
      turn((now) => model.developed(now, slice));
      await saveOwnSlice(image, taken.title || 'A slice of your own scan').catch(() => {});
    } catch (error) {
      if (!control.signal.aborted) complain('slice', error);
    } finally {
      setMaking(undefined);
    }
  };
  const layPicture = async (files: GivenFile[]) => {
    try {
      const { name, table } = await receivePicture(files, readFile);
      turn((now) => model.layPicture(now, name, table));
    } catch (error) {
      complain('beside', error);
    }
  };
  const forgetAll = async () => {
    making?.stop();
    setSheet(model.emptySheet);
    await Promise.all([forget(), forgetOwnSlice()]).catch(() => {});
  };

  const { brought, taken, recipe, slice } = sheet;
  const table = brought?.pages[brought.page];
  const faults = useMemo(() => (table && taken ? faultsOf(table, taken, recipe) : {}), [table, taken, recipe]);
  const grid = useMemo(() => ({ width: recipe.size, height: recipe.size, pixelSize: recipe.pixelSize, centre: recipe.centre }), [recipe]);
  const upright = useMemo(() => (table && taken ? lineIntegrals(table, taken) : undefined), [table, taken?.viewsIn, taken?.numbers, taken?.bright, taken?.unit]);
  const { geometry, sinogram } = useMemo(() => (taken && upright && !hasFault(faults, taken) ? seen(upright, taken) : undefined), [upright, taken, faults]) ?? {};
  const remarks = useMemo(() => (geometry && sinogram ? remarksOn(geometry, sinogram, grid, taken?.numbers === 'brightness' ? darkCells(table!) : 0) : []), [geometry, sinogram, grid]);

  return (
    <div class="scan-sheet" data-ready={ready || undefined} inert={!ready}>
      {kept && <p class="scan-row scan-note" role="status">{kept}</p>}
      <Question number={1} title="What did you bring?">
        <Bring sheet={sheet} reading={reading} onFiles={bring} onPage={(page) => turn((now) => model.turnPage(now, page))} onForget={forgetAll} />
      </Question>
      <Question number={2} title="How was it taken?" waits={!taken && 'The answers come when there is a scan to ask about.'}>
        {taken && <Tell sheet={sheet} faults={faults} geometry={geometry} grid={grid} sinogram={sinogram} remarks={remarks} onAnswer={(changes) => turn((now) => model.answer(now, changes))} />}
      </Question>
      <Question number={3} title="Make the slice" waits={!taken && 'Nothing to make it from yet.'}>
        {taken && <Make sheet={sheet} faults={faults} making={making} onWish={(changes) => turn((now) => model.wish(now, changes))} onFill={() => turn(model.fillField)} onMake={make} />}
      </Question>
      <Question number={4} title="Look and compare" waits={!slice && 'No slice yet.'}>
        {slice && (
          <Look sheet={sheet} slice={slice} onLook={(look) => turn((now) => model.lookAt(now, look))} onAside={() => turn(model.layAside)} onPicture={layPicture}
            onMove={(changes) => turn((now) => model.movePicture(now, changes))} onClear={() => turn(model.clearBeside)} />
        )}
        {slice && <SpecimenOffer />}
      </Question>
      <Question number={5} title="Take it away" waits={!slice && 'No slice yet.'}>
        {slice && brought && <TakeAway sheet={sheet} slice={slice} pages={brought.pages} onTrouble={(sentence) => turn((now) => model.complain(now, 'away', sentence))} />}
      </Question>
    </div>
  );
}

/** The slice is kept for the plates as it is made; this picks it for all of them at once. */
function SpecimenOffer() {
  const [picked, setPicked] = useState(false);
  return (
    <p class="scan-row">
      The plates of the book can show this slice too, in place of their own objects.{' '}
      <button type="button" onClick={() => { chooseSpecimen('own'); setPicked(true); }}>Make it my specimen</button>{' '}
      <span role="status">{picked ? 'It is now what the plates show.' : ''}</span>
    </p>
  );
}

/** The geometry and the sinogram as the library counts them. */
function seen(upright: Table2D, taken: model.Taken): { geometry?: FlatBeam; sinogram?: Sinogram } {
  const scan = scanOf(taken, undefined, upright.rows, upright.columns);
  return { geometry: flatGeometry(taken, upright.rows, upright.columns), sinogram: scanSinogram(scan, upright) };
}

/** Does one of the answers to question 2 stand in the way? The picture’s own do not keep the scan from being drawn. */
const hasFault = (faults: Faults, taken: model.Taken) => Object.keys(faults).some((key) => key in taken);
