/** The drawing of the scan: lines to scale, words beside them at the size of the page's words. */
import type { FlatBeam, Grid } from '../../lib/index.ts';
import { drawScan } from './drawing.ts';
import { figure } from './words.ts';

export function ScanDrawing({ geometry, grid }: { geometry: FlatBeam; grid: Grid }) {
  const drawing = drawScan(geometry, grid);
  const { box, source, detector, rays, field, picture, path } = drawing;
  const span = (path.span * 180) / Math.PI;
  const way = span < 0 ? 'clockwise' : 'counter-clockwise';
  const words = [
    geometry.beam === 'fan' ? `Source ${figure(geometry.sourceToAxis)} mm before the axis` : 'Parallel rays',
    geometry.beam === 'fan' ? `detector ${figure(geometry.sourceToDetector - geometry.sourceToAxis)} mm behind it` : '',
    `${geometry.detectors} cells, ${figure(geometry.detectors * geometry.pitch)} mm in all`,
    `field ${figure(2 * field)} mm across`,
    `first to last view ${figure(Math.abs(span))}° ${way}`,
  ].filter(Boolean);
  const up = (y: number) => -y;
  const join = (points: readonly (readonly [number, number])[]) => points.map(([x, y]) => `${x},${up(y)}`).join(' ');
  const size = Math.max(box.width, box.height) / 100;
  return (
    <figure class="scan-drawing">
      <svg viewBox={`${box.x} ${-(box.y + box.height)} ${box.width} ${box.height}`} role="img" aria-label={`The scan from above, to scale. ${words.join('; ')}.`}>
        {rays.map(([a, b], k) => <line key={k} class="scan-ray" x1={a[0]} y1={up(a[1])} x2={b[0]} y2={up(b[1])} />)}
        <polygon class="scan-picture" points={join(picture)} />
        <circle class="scan-circle" cx={0} cy={0} r={field} />
        <polyline class="scan-path" points={join(path.points)} />
        <path class="scan-path" d={arrowHead(path.points, size)} />
        <path class="scan-axis" d={`M${-size} 0H${size}M0 ${-size}V${size}`} />
        <line class="scan-detector" x1={detector[0][0]} y1={up(detector[0][1])} x2={detector[1][0]} y2={up(detector[1][1])} />
        {source && <circle class="scan-source" cx={source[0]} cy={source[1]} r={size * 0.9} />}
      </svg>
      <ul class="scan-legend">
        {source && <li><Sample><circle class="scan-source" cx={12} cy={6} r={3.5} /></Sample>source</li>}
        <li><Sample><path class="scan-axis" d="M8 6H16M12 2V10" /></Sample>axis</li>
        <li><Sample><path class="scan-detector" d="M4 6H20" /></Sample>detector</li>
        <li><Sample><circle class="scan-circle" cx={12} cy={6} r={5} /></Sample>field</li>
        <li><Sample><path class="scan-picture" d="M5 1H19V11H5Z" /></Sample>your picture</li>
        <li><Sample><path class="scan-path" d="M3 6H19M15 2.5L20 6L15 9.5" /></Sample>the source’s way round</li>
      </ul>
      <figcaption>Seen from above, to scale. {words.join('; ')}.</figcaption>
    </figure>
  );
}

function Sample({ children }: { children: preact.ComponentChildren }) {
  return <svg class="scan-sample" viewBox="0 0 24 12" aria-hidden="true">{children}</svg>;
}

/** A head on the last step of the way. */
function arrowHead(points: readonly (readonly [number, number])[], size: number): string {
  if (points.length < 2) return '';
  const [x1, y1] = points[points.length - 2], [x, y] = points[points.length - 1];
  const along = Math.atan2(y - y1, x - x1);
  const wing = (turn: number) => `${x - 2 * size * Math.cos(along + turn)} ${-(y - 2 * size * Math.sin(along + turn))}`;
  return `M${wing(0.45)}L${x} ${-y}L${wing(-0.45)}`;
}
