/** The camera's own curve, from photographs of one unmoving scene at several exposure times. */
import { useState } from 'preact/hooks';
import { srgbToLight } from '../../lib/index.ts';
import { Chart } from '../../widgets/chart/Chart.tsx';
import { DropPlace } from '../scan/Bring.tsx';
import { Complaint, NumberField } from '../scan/fields.tsx';
import type { GivenFile } from '../scan/receive.ts';
import { figure } from '../scan/words.ts';
import type { Roll } from './model.ts';
import type { Photographs } from './usePhotographs.ts';

const shares = Array.from({ length: 101 }, (_, k) => k / 100);

export function CurveMaker({ photographs: { busy, measureCurve }, roll, fault }: { photographs: Photographs; roll: Roll; fault?: string }) {
  const [series, setSeries] = useState<readonly { file: GivenFile; seconds: number }[]>([]);
  const [said, setSaid] = useState('');
  const { curve } = roll.light;
  const measure = async () => {
    const given = await Promise.all(series.map(async ({ file, seconds }) => ({ name: file.name, seconds, file: file.blob ?? new Blob([(await file.bytes()) as Uint8Array<ArrayBuffer>]) })));
    const report = await measureCurve(given);
    if (report) setSaid(`Measured from ${report.pixels} pixels, which it fits within ${figure(100 * report.misfit, 2)} %.`);
  };
  return (
    <div class="photo-curve">
      <p class="scan-hint">Photograph a still scene of many brightnesses with the camera’s own settings, three times or more, changing nothing but the exposure time, the longest at least four times the shortest.</p>
      <DropPlace label="Lay the exposures here" hint="Their times are asked for then." folders
        onFiles={(files) => setSeries(files.map((file, k) => ({ file, seconds: Number((0.01 * 2 ** k).toPrecision(3)) })))} />
      {series.map(({ file, seconds }, k) => (
        <NumberField key={file.name} label={`${file.name} was exposed for`} value={seconds} step={seconds / 10} unit="s" fault={seconds > 0 ? undefined : 'A time is above 0.'}
          onValue={(value) => setSeries(series.map((each, i) => (i === k ? { ...each, seconds: value } : each)))} />
      ))}
      {series.length > 0 && <p class="scan-row"><button type="button" disabled={busy !== undefined || series.some(({ seconds }) => !(seconds > 0))} onClick={() => void measure()}>Measure the curve</button></p>}
      <p class="scan-row" role="status">{said}</p>
      <Complaint>{fault}</Complaint>
      {curve && (
        <Chart title="The camera’s curve" height={170} x={{ label: 'stored, share of full scale', domain: [0, 1] }} y={{ label: 'light', domain: [0, 1] }}
          series={[{ name: 'measured', x: curve.stored, y: curve.light }, { name: 'sRGB', x: shares, y: shares.map(srgbToLight), look: 'quiet' }]} />
      )}
    </div>
  );
}
