import { Chart } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { plate } from '../frame/plate.tsx';
import { metal, threshold } from './model.ts';

export default plate(threshold, ({ state, result, set }) => {
  const { solid, section, crossing, outlines, measures, curve, half } = result;
  const exact = outlines.map((points) => `M${points.map(([u, v]) => `${u.toFixed(3)} ${v.toFixed(3)}`).join('L')}Z`).join('');
  let mesh = '';
  for (let i = 0; i < crossing.length; i += 4) mesh += `M${crossing[i].toFixed(3)} ${crossing[i + 1].toFixed(3)}L${crossing[i + 2].toFixed(3)} ${crossing[i + 3].toFixed(3)}`;
  const clamped = curve.excess.map((value) => Math.max(-60, Math.min(60, value)));
  return (
    <>
      <Film image={solid} window={[0, 1]} unit="" greyKey={false} title={measures.triangles > 0 ? `The surface at ${state.threshold}/mm` : 'No voxel reaches the threshold'} />
      <Film image={section} window={[0, 0.08]} title="Cut through the middle: the surface, and dashed the object">
        <path d={mesh} />
        <path class="film-second" d={exact} stroke-dasharray="5 4" />
      </Film>
      <Chart title="Volume at other thresholds, before smoothing" height={190} x={{ label: 'threshold', unit: '1/mm', domain: [0, 0.076] }} y={{ label: 'more than the object, %', domain: [-60, 60] }}
        series={[{ name: 'volume', x: curve.threshold, y: clamped }, { name: '', x: [0, metal], y: [0, 0], look: 'quiet' }]}
        rules={[{ x: half, name: 'half-way' }, { x: state.threshold, name: 'the threshold', look: 'accent' }]} onDrag={(x) => set({ threshold: x })} />
      <table class="plate-table plate-wide">
        <caption>The mesh against the object: {measures.triangles} triangles, {measures.watertight ? 'watertight' : 'not closed'}</caption>
        <thead><tr><th scope="col">volume, mm³</th><th scope="col">object, mm³</th><th scope="col">mean distance, mm</th><th scope="col">rms, mm</th><th scope="col">farthest, mm</th></tr></thead>
        <tbody>
          <tr>
            <td>{measures.volume.toFixed(0)}</td><td>{measures.exact.toFixed(0)}</td>
            <td>{(measures.mean > 0 ? '+' : '') + measures.mean.toFixed(3).replace('-', '−')}</td><td>{measures.rms.toFixed(3)}</td><td>{measures.farthest.toFixed(3)}</td>
          </tr>
        </tbody>
      </table>
    </>
  );
});
