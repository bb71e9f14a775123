/** The rig from the side, lines to scale, words at the size of the page's. */
import type { Plan } from '../../lib/index.ts';
import { figure } from '../scan/words.ts';
import { sideView, type SideView } from './side-view.ts';

export function SideDrawing({ plan, object }: { plan: Plan; object?: SideView['object'] }) {
  const { source, axis, screen, rays, penumbra, unsharp, field, object: body, box } = sideView(plan, object);
  const up = (z: number) => -z;
  const size = Math.max(box.width, box.height) / 100;
  const { sourceToAxis, sourceToDetector } = plan.distances;
  const [from, to] = plan.lamp ? ['lens', 'plane in focus'] : ['source', 'screen'];
  const words = [
    `${from} ${figure(sourceToAxis)} mm before the axis`, `${to} ${sourceToDetector === sourceToAxis ? 'through it' : `${figure(sourceToDetector - sourceToAxis)} mm behind it`}, ${figure(2 * screen.half)} mm high`,
    `every view sees a cylinder of ${figure(2 * field.radius)} mm across and ${figure(field.top - field.bottom)} mm high whole`,
    body ? `the object turns within ${figure(2 * body.radius)} mm across, ${figure(body.top - body.bottom)} mm high` : '',
    unsharp === 0 ? '' : `an edge at the axis has a penumbra of ${figure(unsharp, 3)} mm on the ${to}`,
  ].filter(Boolean);
  return (
    <figure class="scan-drawing bench-drawing">
      <svg viewBox={`${box.x} ${up(box.z + box.height)} ${box.width} ${box.height}`} role="img" aria-label={`The rig from the side, to scale: ${words.join('; ')}.`}>
        {rays.map(([a, b], k) => <line key={k} class="scan-ray" x1={a[0]} y1={up(a[1])} x2={b[0]} y2={up(b[1])} />)}
        <rect class="scan-circle" x={axis - field.radius} y={up(field.top)} width={2 * field.radius} height={Math.max(0, field.top - field.bottom)} />
        {body && <rect class="bench-object" x={axis - body.radius} y={up(body.top)} width={2 * body.radius} height={body.top - body.bottom} />}
        <line class="scan-axis" x1={axis} y1={up(box.z)} x2={axis} y2={up(box.z + box.height)} />
        {penumbra && <polygon class="bench-penumbra" points={[[0, -source.half], penumbra[0], penumbra[1], penumbra[2], penumbra[0], [0, source.half]].map(([x, z]) => `${x},${up(z)}`).join(' ')} />}
        <line class="scan-detector" x1={screen.x} y1={up(-screen.half)} x2={screen.x} y2={up(screen.half)} />
        <circle class="scan-source" cx={0} cy={0} r={size * 0.8} />
      </svg>
      <ul class="scan-legend">
        <li><Sample><circle class="scan-source" cx={12} cy={6} r={3.5} /></Sample>{from}</li>
        <li><Sample><path class="scan-detector" d="M12 1V11" /></Sample>{to}</li>
        <li><Sample><path class="scan-circle" d="M5 1H19V11H5Z" /></Sample>seen whole</li>
        <li><Sample><path class="bench-object" d="M5 1H19V11H5Z" /></Sample>the object as it turns</li>
        <li><Sample><path class="bench-penumbra" d="M4 6L20 2V10Z" /></Sample>{plan.lamp ? 'the lens’s opening, seen from its top' : 'penumbra of its top'}</li>
      </ul>
      <figcaption>From the side, to scale: {words.join('; ')}.</figcaption>
    </figure>
  );
}

function Sample({ children }: { children: preact.ComponentChildren }) {
  return <svg class="scan-sample" viewBox="0 0 24 12" aria-hidden="true">{children}</svg>;
}
