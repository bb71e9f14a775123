/** Question 3: from light to line integrals, step by step. */
import { useEffect, useMemo, useState } from 'preact/hooks';
import { photoSteps, workingSize, type PhotoStep, type Rectangle } from '../../lib/index.ts';
import { Chart } from '../../widgets/chart/Chart.tsx';
import { Film, type FilmPoint } from '../../widgets/film/Film.tsx';
import { Choice, Complaint, NumberField, Tick } from '../scan/fields.tsx';
import { usualGreys } from '../scan/greys.ts';
import { figure, weighed } from '../scan/words.ts';
import { CurveMaker } from './CurveMaker.tsx';
import { HardeningFields } from './HardeningFields.tsx';
import { rectangleBetween, viewsOf, type LightPlan, type Roll, type SwitchedStep } from './model.ts';
import { Progress } from '../Progress.tsx';
import { lightKey } from './results.ts';
import { stepTitles } from './step-titles.ts';
import type { Photographs } from './usePhotographs.ts';
import type { Grey } from './worker.ts';

interface Props { readonly photographs: Photographs; readonly roll: Roll; readonly faults: Readonly<Record<string, string | undefined>>; readonly stands?: string }

/** Binning has a number of its own, the logarithm makes the line integrals, and hardening is off until someone measures it. */
const fixedSteps: ReadonlySet<PhotoStep> = new Set(['bin', 'logarithm', 'hardening']);

export function Light({ photographs, roll, faults, stands }: Props) {
  const { edit, busy, complaints, develop, results } = photographs;
  const { light, size } = roll;
  const { developed } = results;
  const stale = developed !== undefined && developed.key !== lightKey(roll);
  const plan = (changes: Partial<LightPlan>, what?: string) => edit((now) => ({ ...now, light: without({ ...now.light, ...changes }) }), what);
  const toggle = (step: SwitchedStep) => plan({ without: light.without.includes(step) ? light.without.filter((each) => each !== step) : [...light.without, step] });
  const kept = light.crop ?? (size && { left: 0, top: 0, ...size });
  const memory = useMemo(() => {
    if (!kept || faults.bin || faults.crop) return undefined;
    try {
      const { columns, rows, bytes } = workingSize(kept.width, kept.height, viewsOf(roll).length, light.bin);
      return `${viewsOf(roll).length} working frames of ${columns} × ${rows} pixels will take ${weighed(bytes)} of memory.`;
    } catch (error) {
      return (error as Error).message;
    }
  }, [roll]);
  const said = new Map(developed?.steps.map((report) => [report.step, report]));
  return (
    <div class="photo-light">
      <div class="scan-wide">
        <fieldset class="scan-group">
          <legend>The camera</legend>
          <Choice label="Its files hold" value={light.encoding} onValue={(encoding) => plan({ encoding })}
            options={[{ value: 'srgb', label: 'pictures for the eye (sRGB curve): JPEG, most PNG' }, { value: 'linear', label: 'numbers in proportion to light: developed raw, scientific TIFF' }, { value: 'measured', label: 'along a curve that I measure from an exposure series' }]} />
          {light.encoding === 'measured' && <CurveMaker photographs={photographs} roll={roll} fault={faults.curve} />}
          <Choice label="Channel" value={light.channel} onValue={(channel) => plan({ channel })}
            options={[{ value: 'green', label: 'green: most screens glow green' }, { value: 'red', label: 'red' }, { value: 'blue', label: 'blue' }]} />
        </fieldset>
        <div class="photo-column">
        <fieldset class="scan-group">
          <legend>Size</legend>
          <NumberField label="Pixels along an edge that become one" value={light.bin} step={1} fault={faults.bin} why={memory?.replace(/\.$/, '')} onValue={(bin) => plan({ bin }, 'bin')} />
          {light.crop && <RectangleFields label="Kept of each photograph" value={light.crop} fault={faults.crop} onValue={(crop) => plan({ crop }, 'crop')} onClear={() => plan({ crop: undefined })} clear="Keep all of it" />}
          {light.open && <RectangleFields label="Never covered by the object" value={light.open} onValue={(open) => plan({ open }, 'open')} onClear={() => plan({ open: undefined })} clear="Find it anew" />}
        </fieldset>
        <fieldset class="scan-group">
          <legend>Glare</legend>
          <NumberField label="Share of the light that is scattered over the picture" value={Number((100 * (light.glare?.share ?? 0)).toPrecision(6))} step={1} unit="%" fault={faults.glare}
            why="From the photograph of an opaque thing: its grey over the grey beside it; 0 where you do not know" onValue={(share) => plan({ glare: share === 0 ? undefined : { ...light.glare, share: share / 100 } }, 'glare')} />
          {light.glare && <NumberField label="How far it spreads, 0 for everywhere alike" value={light.glare.sigma ?? 0} step={5} unit="pixels" onValue={(sigma) => plan({ glare: { share: light.glare!.share, ...(sigma > 0 ? { sigma } : {}) } }, 'sigma')} />}
        </fieldset>
        <HardeningFields value={light.hardening} onValue={(hardening) => plan({ hardening }, 'hardening')} />
        </div>
      </div>

      <div class="scan-go">
        {busy?.place === 'light' ? null : <button type="button" class="scan-chief" disabled={stands !== undefined || busy !== undefined} onClick={() => void develop()}>{developed ? 'Turn the light into line integrals again' : 'Turn the light into line integrals'}</button>}
        <span role="status">{stands ? `Not yet: ${stands}` : stale ? 'Something was changed since; what is said below is of before.' : developed ? `Done in ${figure(developed.seconds, 2)} s.` : ''}</span>
        <Complaint>{complaints.light}</Complaint>
      </div>
      <Progress busy={busy} place="light" />

      <table class="photo-steps">
        <caption class="unseen">The steps from light to line integrals</caption>
        <thead><tr><th scope="col">step</th><th scope="col">what it did</th></tr></thead>
        <tbody>
          {photoSteps.map((step) => (
            <tr key={step}>
              <th scope="row">{fixedSteps.has(step) ? <span class="photo-fixed">{stepTitles[step]}</span> : <Tick label={stepTitles[step]} value={!light.without.includes(step as SwitchedStep)} onValue={() => toggle(step as SwitchedStep)} />}</th>
              <td>{said.get(step)?.says ?? ''}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {developed && developed.warnings.length > 0 && (
        <ul class="scan-remarks">
          {developed.warnings.map(({ kind, says }) => <li key={says} class="scan-remark-warning" data-kind={kind}><strong>Mind</strong> {says}</li>)}
        </ul>
      )}
      <View photographs={photographs} roll={roll} developedKey={stale ? undefined : developed?.key} onMark={(part, rectangle) => plan({ [part]: rectangle })} />
      {developed && !stale && <Chart title="Exposure of each view, against the mean" height={150} x={{ label: 'view', domain: [1, Math.max(2, developed.exposure.length)] }} y={{ label: 'exposure' }}
        series={[{ name: 'exposure', x: developed.exposure.map((_, k) => k + 1), y: developed.exposure }]} rules={[{ y: 1 }]} />}
    </div>
  );
}

/** undefined takes a key away. */
function without(plan: LightPlan): LightPlan {
  return Object.fromEntries(Object.entries(plan).filter(([, value]) => value !== undefined)) as unknown as LightPlan;
}

function RectangleFields({ label, value, fault, onValue, onClear, clear }: { label: string; value: Rectangle; fault?: string; onValue: (value: Rectangle) => void; onClear: () => void; clear: string }) {
  const field = (key: keyof Rectangle, name: string) => <NumberField label={name} value={value[key]} step={1} unit="px" onValue={(number) => onValue({ ...value, [key]: number })} />;
  return (
    <fieldset class="scan-choice photo-rectangle">
      <legend>{label}</legend>
      <div class="scan-pairs">{field('left', 'from the left')}{field('top', 'from the top')}{field('width', 'wide')}{field('height', 'high')}</div>
      <Complaint>{fault}</Complaint>
      <button type="button" class="quiet" onClick={onClear}>{clear}</button>
    </fieldset>
  );
}

type Mark = 'none' | 'crop' | 'open';

interface ViewProps { readonly photographs: Photographs; readonly roll: Roll; readonly developedKey?: string; readonly onMark: (part: 'crop' | 'open', rectangle: Rectangle) => void }

/** One view as the camera wrote it, and its line integrals beside. */
function View({ photographs, roll, developedKey, onMark }: ViewProps) {
  const views = viewsOf(roll);
  const [chosen, setChosen] = useState(0);
  const view = Math.min(chosen, views.length - 1);
  const [mark, setMark] = useState<Mark>('none');
  const [from, setFrom] = useState<readonly [number, number]>();
  const [to, setTo] = useState<readonly [number, number]>();
  const [shown, setShown] = useState<{ stored: Grey; integrals?: Grey; name: string }>();
  const [trouble, setTrouble] = useState<string>();
  const frame = views[view];
  const idle = photographs.busy === undefined;
  useEffect(() => {
    if (!frame || !roll.size || !idle) return;
    const control = new AbortController();
    const timer = setTimeout(() => {
      photographs.frame(view, control.signal).then((found) => { setShown({ ...found, name: frame.name }); setTrouble(undefined); }, (error) => { if (!control.signal.aborted) setTrouble((error as Error).message); });
    }, 60);
    return () => { clearTimeout(timer); control.abort(new DOMException('stopped', 'AbortError')); };
  }, [frame?.id, roll.size, roll.light.channel, developedKey, idle]);
  if (!frame || !roll.size) return null;
  const { size, light } = roll;
  const extent = { left: 0, right: size.width, top: 0, bottom: size.height };
  const drag = (point: FilmPoint, phase: 'start' | 'move' | 'end') => {
    if (phase === 'start') setFrom([point.x, point.y]);
    setTo([point.x, point.y]);
    if (phase !== 'end' || !from || mark === 'none') return;
    const rectangle = rectangleBetween(from, [point.x, point.y], size);
    setFrom(undefined);
    setTo(undefined);
    if (rectangle.width >= 8 && rectangle.height >= 8) onMark(mark, rectangle);
  };
  const fresh = from && to && mark !== 'none' ? rectangleBetween(from, to, size) : undefined;
  const box = (rectangle: Rectangle | undefined, className?: string) => rectangle && <rect class={className} x={rectangle.left} y={rectangle.top} width={rectangle.width} height={rectangle.height} />;
  return (
    <section class="photo-view" aria-label="One view">
      <div class="photo-view-head">
        <label>View <input type="range" min={1} max={Math.max(1, views.length)} value={view + 1} onInput={(event) => setChosen(Number(event.currentTarget.value) - 1)} /> {view + 1} of {views.length}: {frame.name}</label>
        <Choice label="A drag on the photograph marks" value={mark} onValue={setMark}
          options={[{ value: 'none', label: 'nothing' }, { value: 'crop', label: 'the part that is kept of all photographs' }, { value: 'open', label: 'a part that the object never covers' }]} />
      </div>
      <Complaint>{trouble}</Complaint>
      {shown && (
        <div class="scan-films">
          <Film title={`As the camera wrote it: ${shown.name.slice(shown.name.lastIndexOf('/') + 1)}`} image={shown.stored} window={[0, 1]} unit="" scaling="smooth" extent={extent} axes={['column, pixels', 'row, pixels']} {...(mark === 'none' ? {} : { onDrag: drag })}>
            {box(light.crop)}{box(light.open, 'film-second')}{box(fresh, 'film-quiet')}
          </Film>
          {shown.integrals ? <Film title="Its line integrals" image={shown.integrals} window={greysFor(shown.integrals)} unit="" scaling="smooth" extent={{ left: 0, right: shown.integrals.width, top: 0, bottom: shown.integrals.height }} axes={['column, working pixels', 'row']} />
            : <p class="scan-hint">{developedKey ? '' : 'Its line integrals stand here when the light has been turned into them.'}</p>}
        </div>
      )}
      {(light.crop || light.open) && <p class="scan-hint">{light.crop ? 'Green: what is kept. ' : ''}{light.open ? 'Blue: what the object never covers.' : ''}</p>}
    </section>
  );
}

function greysFor(image: Grey): readonly [number, number] {
  const { low, high } = usualGreys(image);
  return [Math.min(0, low), high];
}
