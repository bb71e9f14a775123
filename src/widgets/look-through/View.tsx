import { Chart, type Series } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { plate } from '../frame/plate.tsx';
import { lookThrough } from './model.ts';

const looks = {
  opacity: { window: [0, 1], unit: '', title: 'What is not hidden', gathered: 'brightness so far', times: 1 },
  maximum: { window: [0, 0.1], unit: '1/mm', title: 'The greatest value along each ray', gathered: 'greatest so far, tenths of 1/mm', times: 10 },
  integral: { window: [0, 2.5], unit: '', title: 'The line integral along each ray', gathered: 'integral so far, over 2.5', times: 0.4 },
} as const;

export default plate(lookThrough, ({ state, result, set }) => {
  const { picture, ray, transfer } = result;
  const look = looks[state.shows];
  const r = 2;
  const curves: Series[] = [
    { name: 'attenuation, tenths of 1/mm', x: ray.depth, y: ray.value.map((value) => Math.min(1.2, 10 * value)), kind: 'area' },
    { name: look.gathered, x: ray.depth, y: ray.gathered.map((value) => Math.min(1.2, look.times * value)), look: 'accent' },
    { name: 'light from behind let through', x: state.shows === 'opacity' ? ray.depth : [], y: state.shows === 'opacity' ? ray.left : [], look: 'second' },
  ];
  return (
    <>
      <Film image={picture} window={look.window} unit={look.unit} scaleBar={state.projection === 'orthographic'} title={`${look.title}, ${state.projection === 'orthographic' ? 'rays side by side' : 'rays from one eye'}`} onDrag={({ x, y }) => set({ x, y })}>
        <circle cx={state.x} cy={state.y} r={r} />
        <path d={`M${state.x - 2.5 * r} ${state.y}H${state.x - r}M${state.x + r} ${state.y}H${state.x + 2.5 * r}M${state.x} ${state.y - 2.5 * r}V${state.y - r}M${state.x} ${state.y + r}V${state.y + 2.5 * r}`} />
      </Film>
      <div class="look-through-graphs">
        <Chart title="Along the marked ray, from the eye" height={190} x={{ label: 'depth, 0 level with the middle', unit: 'mm', domain: [-46, 46] }} y={{ label: 'see the key', domain: [0, 1.2] }} series={curves} />
        <Chart title="What hides: the transfer function, and where the voxels are" height={190} x={{ label: 'attenuation', unit: '1/mm', domain: [0, 0.12] }} y={{ label: 'over its greatest', domain: [0, 1.05] }}
          series={[{ name: 'how many voxels, logarithm', x: transfer.value, y: transfer.voxels, kind: 'steps', look: 'quiet' }, { name: 'opacity', x: transfer.value, y: state.shows === 'opacity' ? transfer.opacity : new Float64Array(0), look: 'accent' }]} />
      </div>
    </>
  );
});
