import { Chart } from '../chart/Chart.tsx';
import { Dot, Film, type FilmPoint } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { halfField, ray } from './model.ts';
import './ray.css';

export default plate(ray, ({ state, result, set }) => {
  const turn = (state.angle * Math.PI) / 180;
  const across = [Math.cos(turn), Math.sin(turn)];
  // Where the ray starts (the source's side) and where it lands, far outside the film.
  const at = (along: number) => [state.offset * across[0] - along * across[1], state.offset * across[1] + along * across[0]];
  const [from, to] = [at(2 * halfField), at(-2 * halfField)];
  const drag = ({ x, y }: FilmPoint) => set({ offset: x * across[0] + y * across[1] });
  const white = Math.max(...result.crossings.map(({ attenuation }) => attenuation));
  const foot = at(0);
  const screen = { width: result.brightnesses.length, height: 1, data: result.brightnesses };
  return (
    <>
      <div class="ray-films">
        <Film image={result.image} window={[0, white]} title="The disc, and the ray: drag it" onDrag={drag}>
          <path class="film-quiet" d={`M${-2 * halfField * across[0]} ${-2 * halfField * across[1]}L${2 * halfField * across[0]} ${2 * halfField * across[1]}`} />
          <path d={`M${from[0]} ${from[1]}L${to[0]} ${to[1]}`} />
          <Dot x={foot[0]} y={foot[1]} />
        </Film>
        <Film image={screen} window={[0, 1]} unit="" title="The share of the light that arrives on the screen behind it" aspect={12} extent={{ left: -halfField, right: halfField, top: 1, bottom: 0 }} onDrag={({ x }) => set({ offset: x })}>
          <path d={`M${state.offset} 0V1`} />
        </Film>
      </div>
      <div>
        <table class="plate-table">
          <caption class="plate-hidden">What the ray meets</caption>
          <thead><tr><th scope="col">material</th><th scope="col">attenuation, 1/mm</th><th scope="col">chord, mm</th><th scope="col">product</th></tr></thead>
          <tbody>
            {result.crossings.map(({ title, attenuation, chord }) => <tr><th scope="row">{title}</th><td>{short(attenuation, 4)}</td><td>{chord.toFixed(2)}</td><td>{(attenuation * chord).toFixed(4)}</td></tr>)}
            <tr><th scope="row">line integral p</th><td /><td /><td>{result.integral.toFixed(4)}</td></tr>
            <tr><th scope="row">brightness exp(−p)</th><td /><td /><td>{short(result.brightness, 4)}</td></tr>
          </tbody>
        </table>
        <Chart title="Brightness on the screen" height={170} onDrag={(offset) => set({ offset })} x={place} y={{ label: 'share of the light', domain: [0, 1] }}
          series={[{ name: 'brightness', x: result.position, y: result.brightnesses }, { name: 'this ray', kind: 'dots', look: 'accent', x: [state.offset], y: [result.brightness] }]} />
        <Chart title="Minus its logarithm: the line integral" height={170} onDrag={(offset) => set({ offset })} x={place} y={{ label: 'line integral, no unit' }}
          series={[{ name: 'line integral', x: result.position, y: result.integrals }, { name: 'this ray', kind: 'dots', look: 'accent', x: [state.offset], y: [result.integral] }]} />
      </div>
    </>
  );
});

const place = { label: 'distance from the centre', unit: 'mm', domain: [-halfField, halfField] } as const;
