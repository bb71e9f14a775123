import { Chart } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { plate } from '../frame/plate.tsx';
import { besideEdge, greatestMagnification, longest, mm, penumbra, periods, plateLength, times, type PenumbraResult, type PenumbraState } from './model.ts';
import './penumbra.css';

export default plate(penumbra, ({ state, result, set }) => {
  const { magnification, effective, extent, pattern, contrasts, edge, cells, curve, best, bestEffective } = result;
  const bounds = { left: -extent, right: extent, top: periods.length, bottom: 0 };
  return (
    <>
      <Drawing state={state} result={result} move={(toObject) => set({ toObject })} />
      <Film image={pattern} window={[0, 1]} unit="" aspect={1.5} extent={bounds} axes={['across the object, mm', 'along the bars, mm']} title="Bars on the screen, drawn back to the object’s size"
        labels={periods.map((period, row) => ({ x: -extent * 0.66, y: periods.length - row - 0.5, text: `${period} mm: ${percent(contrasts[row])}` }))} />
      <div>
        <Readings {...result} />
        <Chart title="The light behind an edge" height={170} x={{ label: 'place at the object', unit: 'mm', domain: [-besideEdge, besideEdge] }} y={{ label: 'share of the light', domain: [0, 1] }}
          series={[{ name: 'on the screen', x: edge.x, y: edge.light }, { name: 'in the cells', kind: 'steps', look: 'second', x: cells.x, y: cells.light }]} />
        <Chart title="Effective pixel against magnification" height={170} onDrag={(m) => set({ toObject: state.toScreen / m })}
          x={{ label: 'magnification', domain: [1, greatestMagnification] }} y={{ label: 'mm at the object' }}
          series={[{ name: 'effective pixel', x: curve.magnification, y: curve.effective }, { name: 'here', kind: 'dots', look: 'accent', x: [magnification], y: [effective] }]}
          rules={best <= greatestMagnification ? [{ x: best, name: `best: ${times(best)}, ${mm(bestEffective)}` }] : []} />
      </div>
    </>
  );
});

const percent = (share: number) => `${(100 * share).toFixed(0).replace('-', '−').replace('−0', '0')} %`;

/** Widths of the drawing, in its own units: 800 mm along the beam, a margin at both ends. */
const margin = 15;
const scale = 330 / longest;
const [tall, edgeTall] = [104, 156];
/** How much the lower drawing widens what lies across the beam. */
const wider = 40;

/** Source, plate and screen from the side, to scale; below, the rays through the plate's upper edge, widened. Pressing moves the plate. */
function Drawing({ state, result, move }: { state: PenumbraState; result: PenumbraResult; move: (toObject: number) => void }) {
  const { magnification, unsharp } = result;
  const [source, object, screen] = [margin, margin + state.toObject * scale, margin + state.toScreen * scale];
  const half = (plateLength / 2) * scale;
  const shadow = half * magnification;
  const spot = (state.spot / 2) * wider * scale;
  const soft = (unsharp / 2) * wider * scale;
  const cell = state.pitch * wider * scale;
  const end = edgeTall / 2 - 2;
  const ticks = Math.floor(end / cell);
  const marks = Array.from({ length: 2 * ticks + 1 }, (_, k) => `M${screen} ${((k - ticks) * cell).toFixed(2)}h4`).join('');
  const drag = (event: PointerEvent) => {
    const box = event.currentTarget as Element;
    if (event.type === 'pointerdown' && event.button === 0) box.setPointerCapture(event.pointerId);
    if (!box.hasPointerCapture(event.pointerId)) return;
    const { left, width } = box.getBoundingClientRect();
    move((((event.clientX - left) / width) * 360 - margin) / scale);
  };
  const at = (x: number) => ({ left: `${(100 * x) / 360}%` });
  const words = `Seen from the side: the source, the plate ${state.toObject} mm from it, and the screen ${state.toScreen} mm from it. The plate is ${plateLength} mm long and its shadow ${mm(plateLength * magnification)}.`;
  const edgeWords = `The rays through the upper edge of the plate, drawn ${wider} times wider: from both ends of a spot of ${state.spot} mm they cross at the edge and are ${mm(unsharp)} apart on the screen.`;
  return (
    <div class="plate-wide penumbra-drawing">
      <div onPointerDown={drag} onPointerMove={drag}>
        <p>To scale: a plate {plateLength} mm long, and its shadow</p>
        <p class="penumbra-line"><span class="penumbra-centred" style={at(source + 8)}>source</span><span class="penumbra-centred penumbra-moved" style={at(object)}>object</span></p>
        <svg viewBox={`0 ${-tall / 2} 360 ${tall}`} role="img" aria-label={words}>
          <path class="penumbra-shade" d={`M${object} ${-half}L${screen} ${-shadow}V${shadow}L${object} ${half}Z`} />
          <path class="penumbra-ray" d={`M${source} 0L${screen} ${-shadow}M${source} 0L${screen} ${shadow}`} />
          <path class="penumbra-axis" d={`M${source} 0H${screen}`} />
          <path class="penumbra-screen" d={`M${screen} ${-tall / 2 + 2}V${tall / 2 - 2}`} />
          <path class="penumbra-plate" d={`M${object} ${-half}V${half}`} />
          <circle class="penumbra-source" cx={source} cy="0" r="2.5" />
        </svg>
        <p class="penumbra-line"><span class="penumbra-end" style={at(screen)}>screen</span></p>
      </div>
      <div onPointerDown={drag} onPointerMove={drag}>
        <p>The rays through its upper edge, {wider} times wider; between the ticks lie the cells</p>
        <svg viewBox={`0 ${-edgeTall / 2} 360 ${edgeTall}`} role="img" aria-label={edgeWords}>
          <path class="penumbra-shade" d={`M${object} 0L${screen} ${soft}V${end}H${object}Z`} />
          <path class="penumbra-soft" d={`M${object} 0L${screen} ${-soft}V${soft}Z`} />
          <path class="penumbra-ray" d={`M${source} ${-spot}L${object} 0L${screen} ${soft}M${source} ${spot}L${object} 0L${screen} ${-soft}`} />
          <path class="penumbra-screen" d={`M${screen} ${-end}V${end}`} />
          <path class="penumbra-cells" d={marks} />
          <path class="penumbra-plate" d={`M${object} 0V${end}`} />
          <path class="penumbra-spot" d={`M${source} ${-spot - 0.5}V${spot + 0.5}`} />
        </svg>
      </div>
    </div>
  );
}

function Readings({ magnification, unsharp, unsharpAtObject, cell, effective }: PenumbraResult) {
  const rows: readonly (readonly [string, string, string])[] = [
    ['penumbra', unsharp.toFixed(3), unsharpAtObject.toFixed(3)],
    ['cell', (cell * magnification).toFixed(3), cell.toFixed(3)],
    ['effective pixel', (effective * magnification).toFixed(3), effective.toFixed(3)],
  ];
  return (
    <table class="plate-table">
      <caption>Magnification {times(magnification)}</caption>
      <thead><tr><th scope="col">width, mm</th><th scope="col">on the screen</th><th scope="col">at the object</th></tr></thead>
      <tbody>{rows.map(([name, there, here]) => <tr><th scope="row">{name}</th><td>{there}</td><td>{here}</td></tr>)}</tbody>
    </table>
  );
}
