/** The engines of the reader's own machine: how fast each is, whether they agree, and which is to do the workshop's work. */
import { useEffect, useMemo, useState } from 'preact/hooks';
import { engineNames, type Agreement, type EngineName } from '../lib/index.ts';
import { keepChoice, keptChoice, type EngineChoice } from './engine-choice.ts';
import { openEngineRoom } from './engine-room.ts';
import { bySpeed } from './engine.ts';
import { Choice, Complaint } from './scan/fields.tsx';
import './scan/scan.css';
import { figure } from './scan/words.ts';
import { isStopped, sentenceOf } from './sentence.ts';

const titles: Readonly<Record<EngineName, string>> = { plain: 'plain', simd: 'simd', gpu: 'gpu' };
const about: Readonly<Record<EngineName, string>> = {
  plain: 'the readable code that the book prints',
  simd: 'WebAssembly, four numbers at a time, on all cores',
  gpu: 'the graphics card, through WebGPU',
};

interface Doing { readonly what: string; readonly fraction: number; readonly stop: () => void }

export function EnginePart() {
  const room = useMemo(openEngineRoom, []);
  const [choice, setChoice] = useState<EngineChoice>();
  const [agreed, setAgreed] = useState<Readonly<Partial<Record<EngineName, readonly Agreement[]>>>>({});
  const [doing, setDoing] = useState<Doing>();
  const [complaint, setComplaint] = useState<string>();
  const [ready, setReady] = useState(false);
  const [kept, setKept] = useState('');
  useEffect(() => {
    setReady(true);
    void keptChoice().then(setChoice);
    return () => room.close();
  }, []);

  const under = async (what: string, work: (signal: AbortSignal, progress: (fraction: number) => void) => Promise<void>) => {
    const control = new AbortController();
    const tell = (fraction: number) => setDoing({ what, fraction, stop: () => control.abort() });
    setComplaint(undefined);
    tell(0);
    try {
      await work(control.signal, tell);
    } catch (error) {
      if (!isStopped(error)) setComplaint(sentenceOf(error));
    } finally {
      setDoing(undefined);
    }
  };
  const measure = () => under('Measuring', async (signal, progress) => setChoice(await room.ask({ kind: 'measure' }, { signal, progress })));
  const check = () => under('Comparing', async (signal, progress) => {
    const others = (choice?.speeds ?? []).map(({ name }) => name).filter((name) => name !== 'plain');
    for (const [k, name] of others.entries()) {
      const found = await room.ask({ kind: 'agree', name }, { signal, progress: (fraction) => progress((k + fraction) / others.length) });
      setAgreed((now) => ({ ...now, [name]: found }));
    }
  });
  const wish = (value: EngineChoice['wish']) => {
    const next = { ...choice!, wish: value };
    setChoice(next);
    setKept('');
    void keepChoice(next).then((done) => setKept(done ? 'Kept in this browser.' : 'This browser keeps nothing, so the choice has no effect.'));
  };

  const there = (name: EngineName) => choice?.speeds.find((speed) => speed.name === name);
  const fastest = choice && bySpeed(choice.speeds, 'volumes')[0];
  const compared = Object.values(agreed).some(Boolean);
  return (
    <div class="engine-part">
      <p class="scan-go">
        {doing
          ? <><button type="button" onClick={doing.stop}>Stop</button> <progress value={doing.fraction} max={1} aria-label={doing.what} /></>
          : <><button type="button" disabled={!ready} onClick={() => void measure()}>{choice?.speeds.length ? 'Measure this machine again' : 'Measure this machine'}</button>{choice && choice.speeds.length > 1 && <button type="button" onClick={() => void check()}>See whether they agree here</button>}</>}
        <span role="status">{doing ? `${doing.what}: ${Math.floor(doing.fraction * 100)} %` : ''}</span>
        <Complaint>{complaint}</Complaint>
      </p>
      {choice && choice.speeds.length > 0 && (
        <div class="scrolls engine-scrolls" data-scrolls="The engines of this machine"><table class="engine-table">
          <caption>This machine, million updates a second: a pixel or voxel given its share of one view, filter and the way there and back included</caption>
          <thead><tr><th scope="col">Engine</th><th scope="col">Slices</th><th scope="col">Volumes</th><th scope="col">Done by</th>{compared && <th scope="col">Off the plain one, at most</th>}</tr></thead>
          <tbody>
            {[...engineNames].reverse().map((name) => {
              const speed = there(name);
              return (
                <tr key={name}>
                  <th scope="row">{titles[name]}</th>
                  {speed ? <><td>{figure(speed.slices / 1e6, 3)}</td><td>{figure(speed.volumes / 1e6, 3)}</td><td>{speed.says}</td></> : <td colSpan={3}>{choice.absent[name] ?? 'not measured yet'}</td>}
                  {compared && <td>{name === 'plain' ? '' : agreed[name] ? figure(Math.max(...agreed[name].map(({ difference }) => difference)), 2) : ''}</td>}
                </tr>
              );
            })}
          </tbody>
        </table></div>
      )}
      {choice && choice.speeds.length > 0 && (
        <Choice<EngineChoice['wish']> label="The workshop’s heavy work is done by" value={choice.wish} onValue={wish} options={[
          { value: 'auto', label: `the fastest, as measured here${fastest ? ` (${fastest} for volumes)` : ''}` },
          ...[...engineNames].reverse().filter(there).map((name) => ({ value: name, label: `${titles[name]}: ${about[name]}` })),
        ]} />
      )}
      <p class="scan-row" role="status">{kept}</p>
    </div>
  );
}
