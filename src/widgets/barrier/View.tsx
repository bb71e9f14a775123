import { Chart, type Rule, type Series } from '../chart/Chart.tsx';
import { Dot, Film } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { anybody, barrier, dose, farthest, logOf, marks, nearest, scale, type BarrierResult, type Curves } from './model.ts';
import './barrier.css';

const limits: Rule[] = marks.map(({ limit, says }, k) => ({ y: Math.log10(limit.milliSievert), look: k === 0 ? 'third' : 'quiet', name: k === 0 ? `ICRP, ${says}: ${limit.milliSievert} mSv` : k === 1 ? 'ICRP, workers: 20 and 50 mSv' : undefined }));
const y = { label: 'log₁₀ of mSv a year', domain: scale };

export default plate(barrier, ({ state, result, set }) => {
  const { map, thickest, along, behind, contours, estimate } = result;
  const bounds = { left: nearest, right: farthest, top: thickest, bottom: 0 };
  const { low, likely, high } = estimate.perYear;
  const here = [high, likely, low].map((each) => seen(logOf(each)));
  const named = (m: Float64Array, text: string) => {
    const k = m.findIndex((each) => each < 0.75 * farthest);
    return k > 0 && m[k] > 2 * nearest ? [{ x: m[k], y: contours.mm[k], text }] : [];
  };
  const line = (m: Float64Array) => Array.from(m, (each, k) => `${k ? 'L' : 'M'}${Math.min(2 * farthest, each).toFixed(3)} ${contours.mm[k].toFixed(3)}`).join('');
  return (
    <>
      <Film image={map} window={scale} unit="" aspect={1.35} extent={bounds} axes={['distance, m', `${state.material}, mm`]} title="The high figure, log₁₀ of mSv a year"
        labels={[...named(contours.high, `high: ${anybody} mSv`), ...named(contours.likely, `likely: ${anybody} mSv`)]}
        onDrag={({ x, y: mm }) => set({ distance: x, thickness: mm })}>
        <path class="film-second" d={line(contours.high)} />
        <path class="film-quiet" d={line(contours.likely)} />
        <Dot x={state.distance} y={state.thickness} />
      </Film>
      <Chart title="Against the distance" height={210} onDrag={(distance) => set({ distance })} x={{ label: 'distance', unit: 'm', domain: [0, farthest] }} y={y} rules={limits} series={lines(along, state.distance, here)} />
      <Chart title={`Against the thickness of ${state.material}`} height={210} onDrag={(thickness) => set({ thickness })} x={{ label: 'thickness', unit: 'mm', domain: [0, thickest] }} y={y} rules={limits} series={lines(behind, state.thickness, here)} />
      <Figures estimate={estimate} />
      <p class="plate-wide barrier-key">
        In the map: along the continuous line the high figure is {anybody} mSv a year, along the dashed one the likely figure. Neither line is a boundary of safety. {estimate.caution}
      </p>
      <details class="plate-wide barrier-assumed">
        <summary>What the estimate takes for granted</summary>
        <ul>{estimate.assumptions.map((assumption) => <li>{assumption}</li>)}</ul>
      </details>
    </>
  );
});

/** What lies below the axis is not drawn. */
const seen = (value: number) => (value < scale[0] ? NaN : value);
const lines = ({ at, low, likely, high }: Curves, here: number, values: readonly number[]): Series[] => [
  { name: 'high', x: at, y: high.map(seen) }, { name: 'likely', x: at, y: likely.map(seen), look: 'second' }, { name: 'low', x: at, y: low.map(seen), look: 'quiet' },
  { name: 'here', kind: 'dots', look: 'accent', x: [here, here, here], y: values },
];

function Figures({ estimate: { perYear, routes, inOpenBeam, limits: shares } }: { estimate: BarrierResult['estimate'] }) {
  const rows = [['in a year, in all', perYear], ['of it scattered by the object', routes.scatter], ['of it straight from the tube', routes.leakage], ['in the open beam instead', inOpenBeam]] as const;
  const limit = shares.find(({ who, part }) => who === 'public' && part === 'whole body')!;
  const times = (share: number) => `${short(share, 2)} ×`;
  return (
    <table class="plate-table plate-wide barrier-figures">
      <caption>To one person, an estimate: measure it</caption>
      <thead><tr><th scope="col">dose</th><th scope="col">low</th><th scope="col">likely</th><th scope="col">high</th></tr></thead>
      <tbody>
        {rows.map(([name, { low, likely, high }]) => <tr><th scope="row">{name}</th><td>{dose(low)}</td><td>{dose(likely)}</td><td>{dose(high)}</td></tr>)}
        <tr><th scope="row">all, of ICRP’s {limit.milliSievert} mSv</th><td>{times(limit.share.low)}</td><td>{times(limit.share.likely)}</td><td>{times(limit.share.high)}</td></tr>
      </tbody>
    </table>
  );
}
