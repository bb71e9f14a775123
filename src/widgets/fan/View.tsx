import { Chart } from '../chart/Chart.tsx';
import { Dot, Film, type FilmPoint } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { besideNames, degrees, fan, type FanResult, type FanState } from './model.ts';
import './fan.css';

export default plate(fan, ({ state, result, specimen, set }) => {
  const { right, beside, rightError, besideError, point, star, profile } = result;
  const { radius, white } = specimen;
  const mark = ({ x, y }: FilmPoint) => set({ x: (100 * x) / radius, y: (100 * y) / radius });
  const outline = `M${Array.from(star.x, (x, k) => `${x.toFixed(2)} ${star.y[k].toFixed(2)}`).join('L')}`;
  const marks = (
    <>
      <path class="film-quiet" d={`M${-radius} ${point.y}H${radius}`} />
      <Dot x={point.x} y={point.y} />
    </>
  );
  const name = besideNames[state.beside];
  return (
    <>
      <Film image={right} window={[0, white]} title={`Read as a fan: rmse ${short(rightError)}/mm`} onDrag={mark}>{marks}</Film>
      <Film image={beside} window={[0, white]} title={`${name[0].toUpperCase()}${name.slice(1)}${state.beside === 'object' ? '' : `: rmse ${short(besideError)}/mm`}`} onDrag={mark}>
        {state.beside === 'parallel' && <path class="film-second" d={outline} />}
        {marks}
      </Film>
      <Scan state={state} result={result} radius={radius} />
      <div>
        <Chart title="Along the dashed line" height={190} x={{ label: 'x', unit: 'mm', domain: [-radius, radius] }} y={{ label: '1/mm', domain: [-0.25 * white, 1.25 * white] }}
          series={[
            { name: 'object', look: 'quiet', x: profile.x, y: profile.object },
            { name: 'read as a fan', x: profile.x, y: profile.right },
            { name, look: 'second', x: profile.x, y: profile.beside },
          ]} />
      </div>
    </>
  );
});

/** Seen from above: the source, its fan about the field, and the arc that it goes. */
function Scan({ state, result, radius }: { state: FanState; result: FanResult; radius: number }) {
  const { sourceToAxis: R, turn, needed, views } = result;
  const half = ((state.opening / 2) * Math.PI) / 180;
  const reach = R * Math.tan(half);
  const far = Math.max(R, reach) * 1.12;
  const at = (angle: number, r: number) => `${(-r * Math.sin(angle)).toFixed(2)} ${(-r * Math.cos(angle)).toFixed(2)}`;
  const arc = turn > 2 * Math.PI - 1e-9 ? `M${at(0, R)}A${R} ${R} 0 1 0 ${at(Math.PI, R)}A${R} ${R} 0 1 0 ${at(0, R)}` : `M${at(0, R)}A${R} ${R} 0 ${turn > Math.PI ? 1 : 0} 0 ${at(turn, R)}`;
  return (
    <figure class="fan-scan">
      <figcaption>The scan, to scale</figcaption>
      <svg viewBox={`${-far} ${-far} ${2 * far} ${2 * far}`} role="img" aria-label={`The source ${R.toFixed(0)} mm from the axis, its fan of ${state.opening}° about a field of radius ${radius} mm, and its way of ${degrees(turn)} round it.`}>
        <path class="fan-arc" d={arc} />
        <circle class="fan-field" r={radius} />
        <path class="fan-rays" d={`M0 ${-R}L${-reach} 0M0 ${-R}L${reach} 0`} />
        <path class="fan-detector" d={`M${-reach} 0H${reach}`} />
        <circle class="fan-source" cy={-R} r={far * 0.025} />
      </svg>
      <p>{views} views over {degrees(turn)}; every ray needs {degrees(needed)}. The detector is drawn on the axis.</p>
    </figure>
  );
}
