import { Chart } from '../chart/Chart.tsx';
import { Dot, Film, type FilmPoint } from '../film/Film.tsx';
import { plate } from '../frame/plate.tsx';
import { margin, turningPlate, views } from './model.ts';

export default plate(turningPlate, ({ state, result, set }) => {
  const { radius, point, ray, position, shadow, greatest } = result;
  const theta = (state.angle * Math.PI) / 180;
  // The film shows the object's own x, y, or those of source and screen, in which the screen lies level below.
  const frame = state.turns === 'object' ? 0 : theta;
  const place = (along: number, towards: number) => [along * Math.cos(frame) - towards * Math.sin(frame), along * Math.sin(frame) + towards * Math.cos(frame)] as const;
  const line = (from: readonly [number, number], to: readonly [number, number]) => `M${from.join(' ')}L${to.join(' ')}`;
  const screen = -1.1 * radius;
  const depth = (0.36 * radius) / (greatest || 1);
  const shadowCurve = `M${Array.from(position, (s, j) => place(s, screen - shadow[j] * depth).join(' ')).join('L')}`;
  const height = -point.x * Math.sin(theta) + point.y * Math.cos(theta);
  const marked = place(point.s, height);
  const row = state.angle + 0.5; // the middle of its row of the sinogram
  const percent = (mm: number) => (100 * mm) / radius;

  const mark = (at: FilmPoint) => {
    const turn = theta - frame;
    set({ x: percent(at.x * Math.cos(turn) - at.y * Math.sin(turn)), y: percent(at.x * Math.sin(turn) + at.y * Math.cos(turn)) });
  };
  const choose = ({ x, y }: FilmPoint) => set({ ray: percent(x), angle: Math.floor(y) });
  const sinusoid = `M${Array.from({ length: views }, (_, k) => `${point.x * Math.cos((k * Math.PI) / 180) + point.y * Math.sin((k * Math.PI) / 180)} ${k + 0.5}`).join('L')}`;

  return (
    <>
      <Film image={result.picture} title="Before the beam: touch a point to mark it" onDrag={mark}>
        <path class="film-quiet" d={`M${-radius} 0a${radius} ${radius} 0 1 0 ${2 * radius} 0a${radius} ${radius} 0 1 0 ${-2 * radius} 0`} />
        <path class="film-second" d={`${line(place(-radius, screen), place(radius, screen))}${shadowCurve}`} />
        <path d={line(place(ray.s, margin * radius), place(ray.s, screen))} />
        <path class="film-quiet" d={line(marked, place(point.s, screen))} />
        <Dot x={marked[0]} y={marked[1]} />
      </Film>
      <Film image={{ width: result.sinogram.detectors, height: views, data: result.sinogram.data }} unit="" window={[0, greatest]} aspect={1} scaling="smooth"
        extent={{ left: -radius, right: radius, top: 0, bottom: views }} axes={['along the screen, s, mm', 'view angle, °']}
        title="The sinogram, row by row: touch it to choose a ray" onDrag={choose}>
        <path class="film-quiet" d={sinusoid} />
        <path class="film-second" d={`M${-radius} ${row}H${radius}`} />
        <Dot x={point.s} y={row} />
        <path d={`M${ray.s} ${row - 9}V${row + 9}`} />
      </Film>
      <div class="plate-wide">
        <Chart title={`The shadow at ${state.angle}°`} height={150} onDrag={(s) => set({ ray: percent(s) })}
          x={{ label: 'along the screen, s', unit: 'mm', domain: [-radius, radius] }} y={{ label: 'line integral, no unit', domain: [0, greatest || 1] }}
          series={[{ name: 'shadow', x: position, y: shadow }, { name: 'chosen ray', kind: 'dots', look: 'accent', x: [ray.s], y: [ray.value] }]}
          rules={[{ x: point.s, name: 'where the marked point falls' }]} />
      </div>
    </>
  );
});
