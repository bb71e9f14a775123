import { Film } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { missing } from './measured.ts';
import { priors } from './model.ts';
import './priors.css';

export default plate(priors, ({ state, result, specimen }) => {
  const { pictures, scores, white, credit } = result;
  if (!pictures) return <p class="plate-wide priors-missing">{missing}</p>;
  const measured = state.object === 'disc';
  const score = (value: number) => (measured ? `Matthews ${value.toFixed(3)}` : `rmse ${short(value)}/mm`);
  const differences = state.beside === 'differences';
  const window = differences ? ([-white / 3, white / 3] as const) : ([0, white] as const);
  return (
    <>
      <div class="plate-wide priors-films">
        <Film image={pictures.fbp} window={window} title={`Filtered backprojection: ${score(scores.fbp)}`} />
        <Film image={pictures.sirt} window={window} title={`SIRT, nothing below zero: ${score(scores.sirt)}`} />
        <Film image={pictures.tv} window={window} title={`Total variation: ${score(scores.tv)}`} />
        <Film image={pictures.truth} window={[0, white]} title={measured ? 'The disc from all its views' : specimen.title} />
      </div>
      {credit && <p class="plate-wide priors-credit">{credit}</p>}
    </>
  );
});
