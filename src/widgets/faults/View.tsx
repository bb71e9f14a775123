import { Chart } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { faultsPlate } from './model.ts';
import './faults.css';

export default plate(faultsPlate, ({ state, result, specimen, set }) => {
  const { object, sinogram, greatest, ends, faulty, cured, repeated, errors, changes, profile, radius, white } = result;
  const height = (state.row / 100) * radius;
  const level = <path d={`M${-radius} ${height}H${radius}`} />;
  const moveLine = ({ y }: { y: number }) => set({ row: (100 * y) / radius });
  const beside = repeated ? 'The same from a scan without the fault' : 'The slice with the cure applied';
  return (
    <>
      <div class="plate-wide faults-films">
        <Film image={{ width: sinogram.detectors, height: sinogram.views, data: sinogram.data }} unit="" window={[0, greatest]} aspect={1}
          extent={{ left: ends[0], right: ends[1], top: 0, bottom: sinogram.views }} axes={['along the screen, s, mm', 'view']} title="The sinogram with the fault" />
        <Film image={object} window={[0, white]} title={specimen.title} onDrag={moveLine}>{level}</Film>
        <Film image={faulty} window={[0, white]} title={`The slice with the fault: rmse ${short(errors.faulty)}/mm`} onDrag={moveLine}>{level}</Film>
        <Film image={cured} window={[0, white]} title={`${beside}: rmse ${short(errors.cured)}/mm`} onDrag={moveLine}>{level}</Film>
      </div>
      <div class="plate-wide">
        <Chart title="Along the line across the slices" height={190} x={{ label: 'x', unit: 'mm', domain: [-radius, radius] }} y={{ label: 'attenuation', unit: '1/mm', domain: [-0.4 * white, 1.3 * white] }}
          series={[{ name: 'object', x: profile.x, y: profile.object, kind: 'steps', look: 'quiet' }, { name: 'with the fault', x: profile.x, y: profile.faulty, look: 'second' }, { name: repeated ? 'repeated' : 'cured', x: profile.x, y: profile.cured, look: 'accent' }]} />
      </div>
      <table class="plate-table plate-wide">
        <caption>Root mean square distances within the field, 1/mm</caption>
        <thead><tr><th scope="col">from</th><th scope="col">with the fault</th><th scope="col">{repeated ? 'repeated without it' : 'cured'}</th><th scope="col">had it never been there</th></tr></thead>
        <tbody>
          <tr><th scope="row">the object</th><td>{short(errors.faulty)}</td><td>{short(errors.cured)}</td><td>{short(errors.clean)}</td></tr>
          <tr><th scope="row">the slice of a faultless scan, filtered alike</th><td>{short(changes.faulty)}</td><td>{short(changes.cured)}</td><td>0</td></tr>
        </tbody>
      </table>
    </>
  );
});
