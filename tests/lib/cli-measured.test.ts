/** Two measured scans, through the command line, against the data set's own reconstruction and segmentation. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test, vi } from 'vitest';
import { main } from '../../src/command-line/main.ts';
import { hasMeasured, measuredFolder } from './support/fixtures.ts';

const folder = mkdtempSync(join(tmpdir(), 'slices-measured-'));
afterAll(() => rmSync(folder, { recursive: true }));

async function json(...words: string[]) {
  let out = '';
  const write = vi.spyOn(process.stdout, 'write').mockImplementation((text) => ((out += text), true));
  const code = await main([...words, '--json']);
  write.mockRestore();
  expect(code, out).toBe(0);
  return JSON.parse(out);
}

// Source: A. Meaney et al., Helsinki Tomography Challenge 2022, Zenodo, DOI 10.5281/zenodo.7418878 (CC BY 4.0).
describe.skipIf(!hasMeasured)('slices reconstruct on measured acrylic discs (skipped where the measured data are not beside the checkout)', () => {
  test.each(['disc-01a', 'disc-04b'])('%s', async (disc) => {
    const path = (name: string) => new URL(`${disc}/${name}`, measuredFolder).pathname;
    const slice = join(folder, `${disc}.npy`);
    expect(await json('reconstruct', path('scan.json'), '--out', slice)).toMatchObject({ width: 512, height: 512, views: 720, coverage: { kind: 'full' } });
    const { correlation, slope, rmse } = await json('compare', slice, path('reference.npy'));
    expect(correlation, 'correlation with the data set’s own reconstruction').toBeGreaterThanOrEqual(0.9999);
    expect(Math.abs(slope - 1), 'slope against it, less 1').toBeLessThanOrEqual(0.002);
    expect(rmse, 'rms difference, 1/mm').toBeLessThan(1.5e-4);
    const { matthews } = await json('compare', slice, path('segmentation.npy'));
    expect(matthews, 'Matthews correlation of the Otsu mask with the data set’s own segmentation').toBeGreaterThanOrEqual(0.999);
  });
});
