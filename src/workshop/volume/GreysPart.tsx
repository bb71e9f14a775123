/** Which values are black and white: by number, or by taking hold of an end on the histogram. */
import { useMemo, useRef } from 'preact/hooks';
import { Chart } from '../../widgets/chart/Chart.tsx';
import { Choice, NumberField } from '../scan/fields.tsx';
import { greysOf, levelOf, windowOf } from '../scan/greys.ts';
import type { Greys } from '../scan/model.ts';
import { endMoved, endNear, roundedGreys, type GreyEnd } from './greys.ts';
import type { SavedView } from './model.ts';
import type { Survey } from './worker.ts';

interface Props {
  readonly view: SavedView;
  readonly greys: Greys;
  readonly survey?: Survey;
  readonly onView: (changes: Partial<SavedView>) => void;
}

export function GreysPart({ view, greys, survey, onView }: Props) {
  const end = useRef<GreyEnd>();
  const setGreys = (next: Greys | undefined) => onView({ greys: next && roundedGreys(next) });
  const series = useMemo(() => {
    if (!survey) return [];
    const { edges, counts } = survey.histogram;
    return [{ name: 'voxels', kind: 'area' as const, x: edges.subarray(0, counts.length).map((edge, i) => (edge + edges[i + 1]) / 2), y: counts.map((count) => Math.log10(1 + count)) }];
  }, [survey]);
  const range = survey ? survey.greatest - survey.least : windowOf(greys);
  const drag = (value: number) => {
    end.current ??= endNear(greys, value);
    setGreys(endMoved(greys, end.current, value, range));
  };
  const from = Math.min(survey?.least ?? greys.low, greys.low), to = Math.max(survey?.greatest ?? greys.high, greys.high);
  return (
    <fieldset class="scan-group volume-greys">
      <legend>The greys</legend>
      {survey && (
        <div onPointerDownCapture={() => { end.current = undefined; }}>
          <Chart title="How often each value occurs; drag an end of the greys" description={`Values run from ${survey.least} to ${survey.greatest} per mm; black is ${greys.low}, white ${greys.high}.`} height={150}
            x={{ label: 'attenuation', unit: '1/mm', domain: [from, to] }} y={{ label: 'voxels, power of ten' }} series={series} onDrag={drag}
            rules={[{ x: greys.low, name: 'black', look: 'accent' }, { x: greys.high, name: 'white', look: 'accent' }]} />
        </div>
      )}
      <div class="volume-numbers">
        <NumberField label="Level: the value in the middle grey" value={brief(levelOf(greys))} step={brief(windowOf(greys) / 50)} unit="1/mm" onValue={(level) => setGreys(greysOf(level, windowOf(greys)))} />
        <NumberField label="Window: from black to white" value={brief(windowOf(greys))} step={brief(windowOf(greys) / 20)} unit="1/mm" fault={windowOf(greys) > 0 ? undefined : 'From black to white must be more than 0.'} onValue={(window) => setGreys(greysOf(levelOf(greys), window))} />
      </div>
      <p class="scan-row"><button type="button" onClick={() => setGreys(undefined)} disabled={!view.greys}>Fit to all but 1 % of the voxels</button></p>
      <Choice label="Shown in" value={view.map} onValue={(map) => onView({ map })} options={[{ value: 'grey', label: 'greys' }, { value: 'cividis', label: 'colours of even steps, dark blue to yellow' }]} />
    </fieldset>
  );
}

/** Sums and differences of rounded numbers, without the last bits' noise. */
const brief = (value: number) => Number(value.toPrecision(6));
