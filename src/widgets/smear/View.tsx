import { Chart } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { plate } from '../frame/plate.tsx';
import { smearPlate } from './model.ts';

export default plate(smearPlate, ({ state, result, specimen }) => {
  const { object, single, sum, blur, profile, radius, theta } = result;
  const far = 2 * radius;
  const along = [Math.sin(theta) * far, -Math.cos(theta) * far];
  return (
    <>
      <Film image={object} window={[0, specimen.white]} title="The object, and the way the last view looked">
        <path d={`M${-along[0]} ${-along[1]}L${along[0]} ${along[1]}`} />
      </Film>
      <Film image={single} window={[0, result.highestView]} unit="" title="That view smeared back along its rays" />
      <Film image={sum} window={[0, result.white]} unit="" title={`The sum of ${state.laid} of ${state.count} views`} />
      {blur ? (
        <Chart title="How the sum falls off around the bead" height={220}
          x={{ label: 'distance from the bead’s middle, r', unit: 'mm', domain: [0, blur.distance[blur.distance.length - 1]] }} y={{ label: 'mean of the sum on a circle, no unit', domain: [0, result.white] }}
          series={[{ name: 'measured', x: blur.distance, y: blur.measured, look: 'accent' }, { name: 'mass of the bead / r', x: blur.distance, y: blur.law.map((value) => (value > result.white ? NaN : value)), look: 'second' }]} />
      ) : (
        <Chart title="Along the middle, each over its highest value" height={220}
          x={{ label: 'x', unit: 'mm', domain: [-radius, radius] }} y={{ label: 'share of the highest', domain: [0, 1.05] }}
          series={[{ name: 'object', x: profile.x, y: profile.object, kind: 'steps' }, { name: 'sum', x: profile.x, y: profile.sum, look: 'accent' }]} />
      )}
    </>
  );
});
