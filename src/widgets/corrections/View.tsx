import { Chart, type Rule } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { corrections, last } from './model.ts';
import './corrections.css';

export default plate(corrections, ({ state, result, specimen, set }) => {
  const { picture, misfit, ends, correction, course, error, noise, stop } = result;
  const at = Math.min(course.misfit.length - 1, course.iteration.findIndex((k) => k >= state.iteration - 1e-9));
  const move = (x: number) => set({ iteration: x });
  const here: Rule = { x: state.iteration, look: 'accent', name: 'the picture shown' };
  const across = { label: 'iterations', domain: [0, last] as const };
  return (
    <>
      <Film image={picture} window={[0, specimen.white]} title={`After ${state.iteration} iterations: rmse ${short(error)}/mm`} />
      <Film image={{ width: misfit.detectors, height: misfit.views, data: misfit.data }} unit="" window={around(misfit.data)} aspect={1}
        extent={{ left: ends[0], right: ends[1], top: 0, bottom: 180 }} axes={['along the detector, s, mm', 'angle, °']} title={`Measured shadows less its own: rms ${short(course.misfit[at])}`} />
      <Film image={correction} window={around(correction.data)} title="What the next iteration adds; grey is nothing" />
      <div class="plate-wide corrections-charts">
        <Chart title="Misfit of the shadows, from the first iteration on" height={170} x={across} y={{ label: 'rms', domain: [0, nice(course.misfit[1])] }} onDrag={move}
          series={[{ name: 'misfit', x: course.iteration.slice(1), y: course.misfit.slice(1) }]} rules={[...(noise > 0 ? [{ y: noise, name: 'noise', look: 'second' } as const] : []), here]} />
        <Chart title="Distance from the object, from the first iteration on" height={170} x={across} y={{ label: '1/mm', domain: [0, nice(course.error[1])] }} onDrag={move}
          series={[{ name: 'rmse', x: course.iteration.slice(1), y: course.error.slice(1) }]} rules={[...(stop !== undefined ? [{ x: stop, name: 'misfit as small as the noise', look: 'second' } as const] : []), here]} />
      </div>
    </>
  );
});

/** Greys to either side of nothing, out to the greatest value. */
function around(data: ArrayLike<number>): readonly [number, number] {
  let most = 0;
  for (let i = 0; i < data.length; i++) most = Math.max(most, Math.abs(data[i]));
  return [-(most || 1), most || 1];
}

/** The next round number: 1, 2, 3, 5 times a power of ten. */
function nice(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value || 1));
  return [1, 2, 3, 5, 10].map((times) => times * power).find((top) => top >= value)!;
}
