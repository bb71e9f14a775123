import { Chart } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { plate } from '../frame/plate.tsx';
import { cupping, halfField, object } from './model.ts';

export default plate(cupping, ({ state, result }) => {
  const { picture, mu, profile, shadow } = result;
  return (
    <>
      <Film image={picture} window={[0, 1.5 * mu]} title={`The disc: white is one and a half times what it should be`}>
        <path class="film-quiet" d={`M${-halfField} ${object.y}H${halfField}`} />
      </Film>
      <Chart title="Along the line through the disc" height={230} x={{ label: 'x', unit: 'mm', domain: [-halfField, halfField] }} y={{ label: 'attenuation over what it should be', domain: [-0.1, 1.5] }}
        series={[{ name: 'the disc as it is', x: profile.x, y: profile.disc.map((value) => value / mu), kind: 'steps' }, { name: 'as reconstructed', x: profile.x, y: profile.picture.map((value) => value / mu), look: 'accent' }]} />
      <Chart title="The first view" height={230} x={{ label: 'along the detector, s', unit: 'mm', domain: [-halfField, halfField] }} y={{ label: 'line integral', domain: [-0.1, Math.max(1.4 * state.through, 0.6)] }}
        series={[{ name: 'exact', x: shadow.s, y: shadow.exact }, { name: 'as taken', x: shadow.s, y: shadow.taken, look: 'accent' }]} />
    </>
  );
});
