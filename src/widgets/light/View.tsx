import { Chart } from '../chart/Chart.tsx';
import { Film, type FilmPoint } from '../film/Film.tsx';
import { plate } from '../frame/plate.tsx';
import { light, shown } from './model.ts';
import { rig } from './rig.ts';
import './light.css';

const { width, height, pitch } = rig;
const [right, top] = [(width * pitch) / 2, (height * pitch) / 2];

export default plate(light, ({ state, result, set }) => {
  const { picture, beside, profile, values } = result;
  const y = top - (state.row + 0.5) * pitch;
  const drag = ({ row }: FilmPoint) => set({ row });
  const line = <path d={`M${-right} ${y}H${right}`} />;
  const inner = right - rig.border * pitch;
  const border = state.exposure && <path class="film-quiet" d={`M${-inner} ${-top}V${top}M${inner} ${-top}V${top}`} />;
  return (
    <>
      <Film image={picture} window={state.logarithm ? shown : [-0.1, 1]} unit="" title={state.logarithm ? 'Line integrals from the photograph' : 'The share of the light that is missing'} onDrag={drag}>{line}{border}</Film>
      {state.beside === 'photograph' && <Film image={beside} window={[0, 1]} unit="" title="The photograph, as stored" onDrag={drag}>{line}</Film>}
      {state.beside === 'exact' && <Film image={beside} window={shown} unit="" title="The exact line integrals" onDrag={drag}>{line}</Film>}
      {state.beside === 'difference' && <Film image={beside} window={[-0.3, 0.3]} unit="" title="Picture less exact; grey is no difference" onDrag={drag}>{line}</Film>}
      <Chart title="Along the row" height={190} x={{ label: 'on the screen', unit: 'mm', domain: [-right, right] }} y={{ label: state.logarithm ? 'line integral' : 'share missing', domain: shown }}
        series={[{ name: 'exact line integral', x: profile.x, y: profile.exact }, { name: 'the picture', x: profile.x, y: profile.picture, look: 'accent' }]} />
      <Chart title="How often each value comes" height={190} x={{ label: state.logarithm ? 'line integral' : 'share missing', domain: shown }} y={{ label: 'log₁₀(1 + pixels)', domain: [0, 4.3] }}
        series={[{ name: 'exact', x: values.p, y: values.exact, kind: 'steps' }, { name: 'the picture', x: values.p, y: values.picture, kind: 'steps', look: 'accent' }]} />
    </>
  );
});
