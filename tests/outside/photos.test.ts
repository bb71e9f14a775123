/** Photographs held against the outside: files that other software wrote, published figures of the sRGB curve, SciPy's filters. */
import { describe, expect, test } from 'vitest';
import { readPhotograph } from '../../src/lib/index.ts';
import { fixture } from '../lib/support/fixtures.ts';

interface WrittenPhotographs {
  readonly files: Readonly<Record<string, { width: number; height: number; green: string; base64: string }>>;
}

describe('photographs written, and read back, by sharp 0.35.5 (libvips, mozjpeg, libpng)', () => {
  const { files } = fixture<WrittenPhotographs>('photographs');
  const bytesOf = (text: string) => Uint8Array.from(Buffer.from(text, 'base64'));

  test.each(Object.entries(files))('%s', async (name, { width, height, green, base64 }) => {
    const photograph = await readPhotograph(bytesOf(base64), name);
    expect([photograph.width, photograph.height], 'width and height, upright').toEqual([width, height]);
    const theirs = bytesOf(green);
    const differences = Array.from(photograph.data, (value, i) => value * 255 - theirs[i]);
    const mean = differences.reduce((sum, d) => sum + d, 0) / differences.length;
    // A lossless file to the bit. Of a JPEG, two decoders may each round by one step (T.83 allows it), and theirs rounds green once
    // more; at half resolution they fill colours in differently. A half step of brightness overall would be a mistake.
    const most = /^(png|tiff)/.test(name) ? 1e-4 : /half resolution/.test(name) ? 4 : 1.6;
    expect(Math.max(...differences.map(Math.abs)), 'largest difference, steps of 255').toBeLessThan(most);
    expect(Math.abs(mean), 'mean difference, steps of 255').toBeLessThan(0.1);
  });
});
