import { Chart } from '../chart/Chart.tsx';
import { Dot, Film } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { longestExposure, longestRest, rests, time } from './model.ts';

export default plate(rests, ({ state, result, set }) => {
  const { rest, heat, curve, map, edge } = result;
  const bounds = { left: 0, right: longestRest, top: longestExposure, bottom: 0 };
  const allowed = (state.share / 100) * state.limit;
  const path = Array.from(edge.rest, (each, k) => (Number.isNaN(each) ? '' : `${k > 0 && !Number.isNaN(edge.rest[k - 1]) ? 'L' : 'M'}${each.toFixed(2)} ${edge.seconds[k].toFixed(2)}`)).join('');
  return (
    <>
      <div>
        <Chart title="Heat in the tube" height={220} x={{ label: 'from the start of the scan', unit: 'min' }} y={{ label: 'heat', unit: 'kJ', domain: [0, roundUp(1.15 * Math.max(state.limit, heat.peak / 1000))] }}
          series={[{ name: 'heat', x: curve.minutes, y: curve.kJ }]} rules={[{ y: state.limit, name: `limit, ${short(state.limit)} kJ`, look: 'third' }, { y: allowed, name: `to be used at most, ${short(allowed)} kJ`, look: 'quiet' }]} />
      </div>
      <Film image={map} window={[0, 1.5]} unit="" aspect={1.4} extent={bounds} axes={['rest, s', 'length of an exposure, s']} title="Peak of the heat, as a share of the limit"
        onDrag={({ x, y }) => set({ seconds: y, rest: x, by: 'own' })}>
        <path class="film-second" d={path || 'M0 0'} />
        <Dot x={rest} y={state.seconds} />
      </Film>
      <table class="plate-table">
        <caption>The scan; the maker’s charts come first</caption>
        <thead><tr><th scope="col">of the scan</th><th scope="col">value</th></tr></thead>
        <tbody>
          <tr><th scope="row">power while the beam is on</th><td>{short(state.kV * state.mA)} W</td></tr>
          <tr><th scope="row">exposure of one photograph</th><td>{short(state.mA * state.seconds)} mAs</td></tr>
          <tr><th scope="row">energy in all</th><td>{short(heat.energy / 1000)} kJ</td></tr>
          <tr><th scope="row">rest between exposures</th><td>{short(rest)} s</td></tr>
          <tr><th scope="row">peak of the heat</th><td>{short(heat.peak / 1000)} kJ, {short(100 * heat.share)} %</td></tr>
          <tr><th scope="row">beam on</th><td>{time(heat.on)}, {short(100 * heat.duty)} %</td></tr>
          <tr><th scope="row">the whole scan</th><td>{time(heat.total)}</td></tr>
        </tbody>
      </table>
    </>
  );
});

/** To 1, 1.5, 2, 3, 4, 5, 6, 8 or 10 times a power of ten, so that the axis stands still while a setting moves a little. */
function roundUp(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  return power * ([1, 1.5, 2, 3, 4, 5, 6, 8, 10].find((times) => times * power >= value) ?? 10);
}
