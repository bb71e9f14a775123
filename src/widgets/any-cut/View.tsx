import { Film } from '../film/Film.tsx';
import { plate } from '../frame/plate.tsx';
import { anyCut, offsetThrough } from './model.ts';
import './any-cut.css';

const seen = { z: 'from above', y: 'from the front', x: 'from the right' } as const;

export default plate(anyCut, ({ state, result, set }) => {
  const window = [0, state.white] as const;
  const { picture, fixed } = result;
  const what = { volume: state.thickness > 0 ? `Slab of ${state.thickness} mm on the free plane` : 'The free plane', solids: 'The solids on the free plane', difference: 'Volume less solids; grey is no difference' }[state.shows];
  return (
    <>
      <Film image={picture} window={state.shows === 'difference' ? [-state.white / 2, state.white / 2] : window} title={what} />
      <div class="any-cut-fixed">
        {fixed.map(({ axis, position, image, line }) => (
          <Film image={image} window={window} greyKey={false} title={`${axis} = ${String(position).replace('-', '−')} mm, ${seen[axis]}`}
            onDrag={({ x, y }) => set({ offset: offsetThrough({ axis, position }, x, y, state.turn, state.tip) })}>
            {line && <path d={`M${line.from.join(' ')}L${line.to.join(' ')}`} />}
          </Film>
        ))}
      </div>
    </>
  );
});
