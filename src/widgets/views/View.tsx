import { Film, type FilmPoint } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { degrees, views, type ViewsResult, type ViewsState } from './model.ts';
import './views.css';

export default plate(views, ({ state, result, specimen, set }) => {
  const { point, clean } = result;
  const window = [0, specimen.white] as const;
  const mark = ({ x, y }: FilmPoint) => set({ x: (100 * x) / specimen.radius, y: (100 * y) / specimen.radius });
  const circle = (radius: number) => (
    <>
      <circle cx={point.x} cy={point.y} r={radius} />
      <path d={`M${point.x - 0.03 * specimen.radius} ${point.y}h${0.06 * specimen.radius}M${point.x} ${point.y - 0.03 * specimen.radius}v${0.06 * specimen.radius}`} />
    </>
  );
  const lost = state.views - result.kept.length;
  const title = `From ${state.views} views${lost ? `, ${lost} lost` : ''}: rmse ${short(result.error)}/mm`;
  return (
    <>
      <Film image={result.picture} window={window} title={title} onDrag={mark}>{circle(clean)}</Film>
      {state.beside === 'second' && <Film image={result.beside} window={window} title={`From ${state.second} views: rmse ${short(result.secondError!)}/mm`} onDrag={mark}>{circle(result.secondClean)}</Film>}
      {state.beside === 'truth' && <Film image={result.beside} window={window} title={specimen.title} onDrag={mark}>{circle(clean)}</Film>}
      {state.beside === 'difference' && <Film image={result.beside} window={[-specimen.white / 4, specimen.white / 4]} title="Picture less object; grey is no difference" onDrag={mark}>{circle(clean)}</Film>}
      <Wheel {...result} turn={state.turn} lost={lost} />
      <Rules {...result} />
    </>
  );
});

/** The views that are left and the lost ones as spokes: the source goes round, each view looks through the middle. */
function Wheel({ angles, kept, directions, gap, turn, lost }: ViewsResult & { turn: ViewsState['turn']; lost: number }) {
  const left = new Set(kept);
  const spoke = (angle: number, from: number, to: number) => `M${(from * Math.cos(angle)).toFixed(2)} ${(-from * Math.sin(angle)).toFixed(2)}L${(to * Math.cos(angle)).toFixed(2)} ${(-to * Math.sin(angle)).toFixed(2)}`;
  const gone = angles.filter((_, view) => !left.has(view));
  return (
    <figure class="views-wheel">
      <figcaption>Views and directions</figcaption>
      <svg viewBox="-60 -60 120 120" role="img" aria-label={`${kept.length} views over ${turn}°, ${directions} directions through the middle, the widest gap ${degrees(gap)}${lost ? `; ${lost} views are lost` : ''}.`}>
        <path class="views-direction" d={kept.map((view) => spoke(angles[view], -44, 44)).join('')} />
        <path class="views-kept" d={kept.map((view) => spoke(angles[view], 46, 56)).join('')} />
        <path class="views-lost" d={gone.map((angle) => spoke(angle, 46, 51)).join('')} />
      </svg>
      <p>Outside: the views, short and dashed where lost. Inside: their {directions} directions; widest gap {degrees(gap)}.</p>
    </figure>
  );
}

/** What the rules ask for and what they promise for this scan. */
function Rules({ rules, diameter, clean }: ViewsResult) {
  return (
    <table class="plate-table plate-wide">
      <caption>Object {diameter.toFixed(0)} mm wide; the circle, {clean.toFixed(1)} mm, is where streaks of the marked point begin. Detail kept: by the widest gap.</caption>
      <thead><tr><th scope="col">rule</th><th scope="col">what it calls detail</th><th scope="col">over</th><th scope="col">views asked for</th><th scope="col">detail kept here, mm</th></tr></thead>
      <tbody>
        {rules.map(({ name, detail, over, needed, kept }) => <tr><th scope="row">{name}</th><td>{detail}</td><td>{over}°</td><td>{needed}</td><td>{kept.toPrecision(3)}</td></tr>)}
      </tbody>
    </table>
  );
}
