import { Chart } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { tooMuch } from './model.ts';
import { object } from './object.ts';
import './too-much.css';

const window = [0, 0.04] as const;

export default plate(tooMuch, ({ state, result, set }) => {
  const { picture, truth, difference, error, damage, alpha, profile } = result;
  const level = <path d={`M${-object.field} ${state.height}H${object.field}`} />;
  const moveLine = ({ y }: { y: number }) => set({ height: y });
  const rings = damage.invented.map(({ x, y, area }) => <circle class="film-second" cx={x} cy={y} r={1.5 + Math.sqrt(area / Math.PI)} />);
  return (
    <>
      <div class="plate-wide too-much-films">
        <Film image={picture} window={window} title={`${alpha === 0 ? 'Without total variation' : `Strength ${short(alpha, 2)} mm`}: rmse ${short(error)}/mm`} onDrag={moveLine}>{level}{rings}</Film>
        <Film image={truth} window={window} title="The object" onDrag={moveLine}>{level}</Film>
        <Film image={difference} window={[-0.004, 0.004]} title="Picture less object; grey is no difference" onDrag={moveLine}>{level}</Film>
        <Details left={damage.left} />
      </div>
      <div class="plate-wide">
        <Chart title={`Along the line, ${Math.abs(state.height)} mm ${state.height < 0 ? 'below' : 'above'} the middle`} height={190} x={{ label: 'x', unit: 'mm', domain: [-object.field, object.field] }} y={{ label: 'attenuation', unit: '1/mm', domain: [0, 0.04] }}
          series={[{ name: 'object', x: profile.x, y: profile.truth, kind: 'steps', look: 'quiet' }, { name: 'picture', x: profile.x, y: profile.picture, look: 'accent' }]} />
      </div>
    </>
  );
});

/** What is left of each faint disc. */
function Details({ left }: { left: readonly number[] }) {
  return (
    <table class="plate-table">
      <caption>Contrast left of the faint discs; rings mark patches that were never there</caption>
      <thead><tr><th scope="col">across, mm</th><th scope="col">contrast, 1/mm</th><th scope="col">left</th></tr></thead>
      <tbody>{object.details.map(({ radius, contrast }, k) => <tr><th scope="row">{2 * radius}</th><td>{contrast}</td><td>{`${(100 * left[k]).toFixed(0).replace('-', '−')}\u202f%`}</td></tr>)}</tbody>
    </table>
  );
}
