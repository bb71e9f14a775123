import { Chart } from '../chart/Chart.tsx';
import { Film, type FilmPoint } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { discs, halfHeight, stack, type DiscsResult, type DiscsState } from './model.ts';
import './discs.css';

export default plate(discs, ({ state, result, set }) => {
  const { cut, beside, error, open, profile } = result;
  const white = 1.2 * stack.attenuation;
  const window = [-0.1 * stack.attenuation, white] as const;
  const [side, top] = [(cut.width * cut.pixelSize) / 2, (cut.height * cut.pixelSize) / 2];
  const choose = ({ x }: FilmPoint) => set({ off: x });
  const level = (z: number) => (Math.abs(z) < top ? `M${-side} ${z}H${side}` : '');
  const marks = (
    <>
      <path class="film-quiet" d={level(state.level - open) + level(state.level + open)} />
      <path class="film-second" d={`M${-side} ${state.level}h3M${side} ${state.level}h-3`} />
      <path d={`M${state.off} ${-top}V${top}`} />
    </>
  );
  return (
    <>
      <Film image={cut} window={window} title={`Cut through the axis: rmse ${short(error)}/mm`} onDrag={choose}>{marks}</Film>
      {state.beside === 'truth'
        ? <Film image={beside} window={window} title="The stack itself" onDrag={choose}>{marks}</Film>
        : <Film image={beside} window={[-stack.attenuation, stack.attenuation]} title="Cut less stack; grey is no difference" onDrag={choose}>{marks}</Film>}
      <Side state={state} result={result} />
      <div>
        <Chart title={state.off === 0 ? 'Up the axis' : `Up a line ${Math.abs(state.off)} mm from the axis`} height={190} x={{ label: 'height', unit: 'mm', domain: [-top, top] }} y={{ label: '1/mm', domain: [-0.25 * stack.attenuation, 1.5 * stack.attenuation] }}
          series={[{ name: 'stack', look: 'quiet', x: profile.z, y: profile.truth }, { name: 'reconstructed', x: profile.z, y: profile.cut }]}
          rules={[{ x: state.level, name: 'plane of the source', look: 'second' }]} />
      </div>
    </>
  );
});

/** From the side: the source, its cone about the stack, and the plane that it goes round in. */
function Side({ state, result }: { state: DiscsState; result: DiscsResult }) {
  const R = result.sourceToAxis;
  const { discs: count, period, radius } = stack;
  const thick = period - state.gap;
  const [left, right] = [-R * 1.04, radius * 1.3];
  const wide = right - left;
  const tall = Math.max(2.6 * halfHeight + 2 * Math.abs(state.level), 0.3 * wide);
  const cone = [halfHeight, -halfHeight].map((z) => `M${-R} 0L0 ${state.level - z}`).join('');
  return (
    <figure class="discs-side">
      <figcaption>From the side, to scale</figcaption>
      <svg viewBox={`${left} ${-tall / 2} ${wide} ${tall}`} role="img" aria-label={`The source, ${R.toFixed(0)} mm to the left of the axis, looks at the stack; half of it stands ${state.angle}° high. The plane of the source lies ${state.level} mm above the middle of the stack.`}>
        {Array.from({ length: count }, (_, k) => <rect class="discs-disc" x={-radius} y={state.level + (k - (count - 1) / 2) * period - thick / 2} width={2 * radius} height={thick} />)}
        <path class="discs-plane" d={`M${-R} 0H${right}`} />
        <path class="discs-cone" d={cone} />
        <circle class="discs-source" cx={-R} r={wide * 0.012} />
      </svg>
      <p>Source {R.toFixed(0)} mm from the axis. Dashed: the plane of the source.</p>
    </figure>
  );
}
