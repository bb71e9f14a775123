/** Question 5: what would come of it? */
import { useMemo, useState } from 'preact/hooks';
import { cut, planeAcross, writeNrrd, type Image } from '../../lib/index.ts';
import { Film } from '../../widgets/film/Film.tsx';
import { Choice, Complaint } from '../scan/fields.tsx';
import { counted, figure } from '../scan/words.ts';
import { fittedGreys } from '../volume/greys.ts';
import { fileName, save } from '../volume/pictures.ts';
import { VolumeSheet } from '../volume/VolumeSheet.tsx';
import { Progress } from '../Progress.tsx';
import type { BenchState, Trial } from './useBench.ts';

const sizes = ['96', '128', '160', '200'] as const;

export function RehearsePart({ state, stands }: { state: BenchState; stands?: string }) {
  const { bench, busy, complaints, trials, rehearse } = state;
  const [size, setSize] = useState<(typeof sizes)[number]>('160');
  const { own } = trials;
  const inLight = bench.plan.lamp !== undefined;
  return (
    <>
      <p class="scan-row">Simulated photographs of your object, with {inLight ? 'the blur of the lens’s opening and the noise of light and camera' : 'this tube’s spectrum, the spot’s penumbra, the screen’s blur and the noise of quanta and camera'}, go through the same steps as real ones. {inLight ? 'Bent and scattered light, reflections, bubbles, a second colour' : 'Scattered X-rays, glare'}, drift and an axis off its place are not in them: a real scan is worse.</p>
      <Choice label="Voxels along the longest edge" value={size} onValue={setSize} options={sizes.map((value) => ({ value, label: value }))} />
      <p class="scan-go">
        <button type="button" class="scan-chief" disabled={stands !== undefined || busy !== undefined} onClick={() => void rehearse(Number(size))}>{own ? 'Rehearse again' : 'Rehearse'}</button>
        {stands && <span>Something above is in the way.</span>}
      </p>
      <Progress busy={busy} place="rehearse" />
      <Complaint>{complaints.rehearse}</Complaint>
      {own && own.plan !== bench.plan && <p class="scan-row scan-note" role="status">The plan has been changed since this rehearsal.</p>}
      {own && <Shown trial={own} />}
    </>
  );
}

function Shown({ trial }: { trial: Trial }) {
  const { plan, rehearsed: { photographs, volume, bin, report }, seconds } = trial;
  const [closer, setCloser] = useState(false);
  const cuts = useMemo(() => cutsOf(trial), [trial]);
  const greys = useMemo(() => fittedGreys(volume), [volume]);
  return (
    <div class="bench-shown">
      <p class="scan-row" role="status">
        {counted(plan.views.count, 'photograph')} of {figure(photographs[0].photograph.width)} × {figure(photographs[0].photograph.height)} working pixels{bin > 1 ? ` (${bin} × ${bin} of the camera’s put together)` : ''}, a volume of {volume.width} × {volume.height} × {volume.depth} voxels of {figure(volume.voxelSize, 3)} mm; rehearsed in {figure(seconds, 3)} s.{bin > 1 && ' What is predicted here is for these working pixels; question 4 speaks of single ones.'}
      </p>
      <div class="scan-films">
        {photographs.slice(0, 2).map(({ view, photograph }) => <Film key={view} image={photograph} window={[0, 1]} unit="" scaleBar={false} title={`Photograph ${view + 1}, at ${figure((view * (plan.views.turn ?? 360)) / plan.views.count)}°`} />)}
        {cuts.map(({ title, image }) => <Film key={title} image={image} window={[greys.low, greys.high]} title={title} />)}
      </div>
      <Figures trials={[trial]} names={['this plan']} />
      {report.warnings.length > 0 && <ul class="scan-remarks">{report.warnings.map(({ says }) => <li key={says} class="scan-remark-warning"><strong>Mind</strong> {says}</li>)}</ul>}
      <p class="scan-buttons">
        <button type="button" onClick={() => setCloser(!closer)} aria-expanded={closer}>{closer ? 'Put the volume away' : 'Look at the volume closer'}</button>
        <button type="button" onClick={() => save(`${fileName(plan.title || 'rehearsal')}-rehearsed.nrrd`, writeNrrd(volume))}>Take the volume away (NRRD)</button>
      </p>
      {closer && <VolumeSheet volume={volume} title={`${plan.title || 'A plan'}, rehearsed`} />}
    </div>
  );
}

function cutsOf({ rehearsed: { volume } }: Trial): readonly { title: string; image: Image }[] {
  const middle = volume.centre ?? [0, 0, 0];
  return [
    { title: 'Cut across the axis', image: cut(volume, planeAcross('z', middle[2])) },
    { title: 'Cut along the axis, from the front', image: cut(volume, planeAcross('y', middle[1])) },
    { title: 'Cut along the axis, from the side', image: cut(volume, planeAcross('x', middle[0])) },
  ];
}

/** What rehearsals measured beside what was predicted; one column pair a plan. */
export function Figures({ trials, names }: { trials: readonly Trial[]; names: readonly string[] }) {
  const rows = trials.map(({ rehearsed: { figures } }) => rowsOf(figures));
  const labels = [...new Set(rows.flatMap((row) => [...row.keys()]))];
  return (
    <table class="bench-figures">
      <caption>Predicted by the rules, and measured on the rehearsed slice</caption>
      <thead><tr><th scope="col">Figure</th>{names.flatMap((name) => [<th scope="col">predicted{names.length > 1 ? `, ${name}` : ''}</th>, <th scope="col">measured{names.length > 1 ? `, ${name}` : ''}</th>])}</tr></thead>
      <tbody>
        {labels.map((label) => (
          <tr key={label}>
            <th scope="row">{label}</th>
            {rows.flatMap((row) => { const found = row.get(label); return [<td>{found?.predicted ?? '–'}</td>, <td>{found?.measured ?? '–'}</td>]; })}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function rowsOf(figures: Trial['rehearsed']['figures']): Map<string, { predicted?: string; measured?: string }> {
  if (!figures) return new Map();
  const { noise, resolution, parts, streaks } = figures;
  const mu = (value: number | undefined) => (value === undefined ? undefined : `${figure(value, 3)} /mm`);
  return new Map([
    ['Noise of a voxel', { predicted: mu(noise.predicted), measured: mu(noise.measured) }],
    ['An edge is spread over (full width at half its slope)', { predicted: `${figure(resolution.predicted.width, 3)} mm`, measured: `${figure(resolution.measured.width, 3)} mm` }],
    ['A tenth of the contrast is left at', { predicted: `${figure(resolution.predicted.tenth, 3)} cycles/mm`, measured: `${figure(resolution.measured.tenth, 3)} cycles/mm` }],
    ...(streaks === undefined ? [] : [['Streaks in what is empty', { measured: mu(streaks) }] as const]),
    ...parts.map(({ name, against, contrast, cnr }): [string, { predicted?: string; measured?: string }] => [
      `${name} against ${against}: contrast, and contrast to noise`,
      { predicted: `${mu(contrast.predicted)}, ${figure(cnr.predicted, 3)}`, measured: contrast.measured === undefined ? 'too thin to measure' : `${mu(contrast.measured)}, ${figure(cnr.measured!, 3)}` },
    ]),
  ]);
}
