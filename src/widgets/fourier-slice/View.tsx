import { Chart } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { plate } from '../frame/plate.tsx';
import { depth, fourierSlice, partOf } from './model.ts';
import './fourier-slice.css';

const partNames = { strength: 'strength', real: 'real part', imaginary: 'imaginary part' } as const;

export default plate(fourierSlice, ({ state, result, specimen, set }) => {
  const { extent, nyquist, radius } = result;
  const theta = (state.angle * Math.PI) / 180;
  const line = (angle: number, reach: number) => `M${-reach * Math.cos(angle)} ${-reach * Math.sin(angle)}L${reach * Math.cos(angle)} ${reach * Math.sin(angle)}`;
  const rays = [-0.6, -0.3, 0, 0.3, 0.6].map((share) => {
    const [x, y] = [share * radius * Math.cos(theta), share * radius * Math.sin(theta)];
    return `M${x - 2 * radius * Math.sin(theta)} ${y + 2 * radius * Math.cos(theta)}L${x + 2 * radius * Math.sin(theta)} ${y - 2 * radius * Math.cos(theta)}`;
  });
  const turnTo = ({ x, y }: { x: number; y: number }) => set({ angle: Math.round((Math.atan2(y, x) * 180) / Math.PI + 360) % 180 });
  const total = Math.hypot(result.view.real[0], result.view.imaginary[0]) || 1;
  const axes = ['u, cycles/mm', 'v, cycles/mm'] as const;
  const domain = state.part === 'strength' ? ([-depth - 1, 0] as const) : ([-1, 1] as const);
  return (
    <>
      <Film image={result.object} window={[0, specimen.white]} title={`${specimen.title}, its rays at ${state.angle}°`}>
        <path class="film-quiet" d={rays.join('')} />
        <path d={line(theta, 0.97 * radius)} />
      </Film>
      <Film image={result.plane} window={[-depth, 0]} unit="powers of ten" title="Its transform: drag the line" extent={extent} axes={axes} scaleBar={false} onDrag={turnTo}>
        <path d={line(theta, 2 * nyquist)} />
      </Film>
      <Film image={result.filled} window={[-depth, 0]} unit="powers of ten" title={state.laid === 1 ? 'One view laid in' : `${state.laid} views laid in`} extent={extent} axes={axes} scaleBar={false}>
        {state.laid <= 60 && <path class="film-quiet" d={result.spokes.slice(1).map((angle) => line(angle, nyquist)).join('')} />}
        <path d={line(theta, nyquist)} />
        {result.closed < nyquist && <circle class="film-second" r={result.closed} />}
      </Film>
      <div class="plate-wide fourier-slice-pair">
        <Chart title={`The view at ${state.angle}°`} height={170} x={{ label: 's', unit: 'mm', domain: [-radius, radius] }} y={{ label: 'line integral' }}
          series={[{ name: 'line integral', x: result.position, y: result.shadow }]} />
        <Chart title={`Along the line: ${partNames[state.part]}`} height={170} x={{ label: 'f', unit: 'cycles/mm', domain: [0, nyquist] }} y={{ label: state.part === 'strength' ? 'powers of ten of the total' : 'share of the total', domain }}
          series={[
            { name: 'from the view', x: result.frequency, y: partOf(result.view, state.part, total) },
            { name: 'from the picture', look: 'second', x: result.frequency, y: partOf(result.picture, state.part, total) },
          ]} />
      </div>
    </>
  );
});
