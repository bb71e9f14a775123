import { Chart } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { plate } from '../frame/plate.tsx';
import { windowPlate } from './model.ts';

export default plate(windowPlate, ({ state, result }) => {
  const { object, picture, kernel, response, shadow, profile, measures, radius, white } = result;
  const nyquist = response.frequency[response.frequency.length - 1];
  const height = (state.row / 100) * radius;
  const level = <path d={`M${-radius} ${height}H${radius}`} />;
  return (
    <>
      <Film image={object} window={[0, white]} title="The object">{level}</Film>
      <Film image={picture} window={[0, white]} title={state.window === 'none' ? 'Unfiltered, scaled to the object’s mean' : 'The reconstruction'}>{level}</Film>
      <Chart title="The kernel, cell by cell" height={170} x={{ label: 'cells apart, n', domain: [-12, 12] }} y={{ label: 'over the ramp’s own h(0)', domain: [-0.5, 1] }}
        series={[{ name: 'kernel', x: kernel.n, y: kernel.value, kind: 'stems', look: 'accent' }]} />
      <Chart title="The response: gain at each frequency" height={170} x={{ label: 'frequency', unit: 'cycles/mm', domain: [0, nyquist] }} y={{ label: 'gain, cycles/mm', domain: [0, nyquist] }}
        series={[{ name: 'the ramp alone', x: response.frequency, y: response.ramp, look: 'quiet' }, { name: 'with the window', x: response.frequency, y: state.window === 'none' ? new Float64Array(0) : response.gain, look: 'accent' }]} />
      <Chart title={`View ${state.view}, before and after the filter, each over its highest value`} height={170} x={{ label: 'along the screen, s', unit: 'mm', domain: [-radius, radius] }} y={{ label: 'share of the highest', domain: [-1, 1.05] }}
        series={[{ name: 'before', x: shadow.position, y: overHighest(shadow.before) }, { name: 'after', x: shadow.position, y: overHighest(shadow.after), look: 'accent' }]} />
      <Chart title="Along the line across both films" height={170} x={{ label: 'x', unit: 'mm', domain: [-radius, radius] }} y={{ label: 'attenuation', unit: '1/mm', domain: [-0.25 * white, 1.25 * white] }}
        series={[{ name: 'object', x: profile.x, y: profile.object, kind: 'steps' }, { name: 'reconstruction', x: profile.x, y: profile.picture, look: 'accent' }]} />
      <table class="plate-table plate-wide">
        <caption class="plate-hidden">How near the picture is to the object</caption>
        <thead><tr><th scope="col">rms error in the field, 1/mm</th><th scope="col">PSNR, dB</th><th scope="col">SSIM (Gaussian window)</th></tr></thead>
        <tbody><tr><td>{measures.rmse.toPrecision(3)}</td><td>{measures.psnr.toFixed(1)}</td><td>{measures.ssim.toFixed(3)}</td></tr></tbody>
      </table>
    </>
  );
});

function overHighest(values: Float64Array): Float64Array {
  const highest = values.reduce((most, value) => Math.max(most, Math.abs(value)), 0) || 1;
  return values.map((value) => value / highest);
}
