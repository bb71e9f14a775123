/**
 * Makes the sample scans in datasets/: node scripts/make-samples.ts. The same bytes come out every time, and a test holds them
 * against what is committed. Objects and scans are invented; attenuation is the library's table at one energy.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { disc, ellipse, linearAttenuation, projectPhantom, scanGeometry, sheppLogan, writeNpy, writeScan, type FlatBeam, type Material, type Scan, type Shape } from '../src/lib/index.ts';

const keV = 60;
const mu = (material: Material, density?: number) => linearAttenuation(material, keV, density);

/** A part of an object: where it is, for its README, and its shapes. */
type Part = readonly [what: string, ...shapes: Shape[]];

const oilDensity = 0.87;
const oil = mu('polyethylene', oilDensity); // mineral oil is CH₂ as polyethylene is
const capsule: readonly Part[] = [
  ['a shell of polyethylene, 72 × 60 mm outside, 3 mm thick', ellipse(0, 0, 36, 30, 0, mu('polyethylene')), ellipse(0, 0, 33, 27, 0, -mu('polyethylene'))],
  ['an aluminium nut, drawn round, 15 mm across with a hole of 8 mm, about (−16, −9) mm', disc(-16, -9, 7.5, mu('aluminium')), disc(-16, -9, 4, -mu('aluminium'))],
  ['a marble of soda-lime glass, 14 mm, about (−9, 13) mm', disc(-9, 13, 7, mu('sodaLime'))],
  ['a wooden bead of 12 mm with a bore of 3 mm, about (7, −17) mm', disc(7, -17, 6, mu('wood')), disc(7, -17, 1.5, -mu('wood'))],
  [`a vial of borosilicate glass, 16 mm across with walls of 1.2 mm, filled with mineral oil (${oilDensity} g/cm³), about (16, 5) mm`, disc(16, 5, 8, mu('borosilicate')), disc(16, 5, 6.8, oil - mu('borosilicate'))],
];

interface Sample {
  readonly folder: string;
  readonly scan: Scan;
  readonly object: readonly Part[];
  /** Photons that reach an uncovered cell; without noise when left out. */
  readonly photons?: number;
  readonly lost?: readonly number[];
}

const head: Sample = {
  folder: 'head-parallel',
  scan: {
    format: 'scan', version: 1, title: 'Head phantom',
    beam: { shape: 'parallel' }, detector: { pitch: 0.8, columns: 256 }, angles: { start: 0, step: 1, count: 180 }, turn: 'counterclockwise',
    frames: { kind: 'line-integrals', file: 'sinogram.npy' }, reconstruction: { method: 'fbp', window: 'ramp', size: 256, pixelSize: 0.8 },
  },
  object: [['the head of Shepp and Logan with the greys of Toft, 184 mm high; a grey of 1 stands for cortical bone', ...sheppLogan({ variant: 'high-contrast', size: 200, scale: mu('bone') })]],
};

const capsuleFan: Sample = {
  folder: 'capsule-fan',
  scan: {
    format: 'scan', version: 1, title: 'Sealed capsule, axis off centre',
    beam: { shape: 'fan', sourceToAxis: 300, sourceToDetector: 450 }, detector: { pitch: 0.5, columns: 240, axisOffset: 1.8 }, angles: { start: 0, step: 4, count: 90 }, turn: 'counterclockwise',
    frames: { kind: 'line-integrals', file: 'sinogram.npy' }, reconstruction: { method: 'fbp', window: 'shepp-logan', size: 256, pixelSize: 0.3 },
  },
  object: capsule,
  photons: 100_000,
};

const lost = [17, 18, 43, 61, 78];
const lostFrames: Sample = {
  ...capsuleFan,
  folder: 'lost-frames-fan',
  scan: {
    ...capsuleFan.scan, title: 'Sealed capsule, five frames lost',
    angles: { list: Array.from({ length: 90 }, (_, view) => 4 * view).filter((_, view) => !lost.includes(view)) },
  },
  lost,
};

/** The files of each sample, by path under datasets/. */
export function sampleFiles(): Map<string, Uint8Array> {
  const files = new Map<string, Uint8Array>();
  const text = (content: string) => new TextEncoder().encode(content);
  for (const sample of [head, capsuleFan, lostFrames]) {
    const { folder, scan } = sample;
    const full = sample.lost ? capsuleFan : sample;
    const geometry = scanGeometry(full.scan) as FlatBeam;
    const { views, detectors, data } = projectPhantom(full.object.flatMap(([, ...shapes]) => shapes), geometry, { cell: 'average' });
    const measured = full.photons ? counted(data, full.photons) : data;
    const kept = Array.from({ length: views }, (_, view) => view).filter((view) => !sample.lost?.includes(view));
    const rows = Float32Array.from(kept.flatMap((view) => Array.from(measured.subarray(view * detectors, (view + 1) * detectors))));
    files.set(`${folder}/sinogram.npy`, writeNpy([kept.length, detectors], rows));
    files.set(`${folder}/scan.json`, text(writeScan(scan)));
    files.set(`${folder}/README.md`, text(readme(sample, kept.length)));
  }
  return files;
}

/** Line integrals as they come out of counting photons: N = N₀·exp(−p) with σ = √N (Poisson's law, as a Gaussian), p = −ln(N/N₀). */
function counted(exact: Float32Array, photons: number): Float32Array {
  const random = uniform(20240229);
  return exact.map((p) => {
    const mean = photons * Math.exp(-p);
    const gaussian = Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    return -Math.log(Math.max(0.5, mean + Math.sqrt(mean) * gaussian) / photons);
  });
}

/** Numbers from 0 to 1, always the same ones (a 32-bit xorshift; Marsaglia 2003). */
function uniform(seed: number): () => number {
  let state = seed;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}

function readme({ folder, scan, object, photons, lost }: Sample, views: number): string {
  const { beam, detector, angles } = scan;
  const shape = beam.shape === 'parallel' ? 'A parallel beam' : `A fan beam, ${beam.sourceToAxis} mm from source to axis and ${beam.sourceToDetector} mm from source to detector`;
  const turn = 'list' in angles ? `${views} of 90 views in steps of 4°` : `${views} views in steps of ${angles.step}°`;
  const axis = detector.axisOffset ? ` The axis falls ${detector.axisOffset} mm from the middle of the detector, towards higher columns.` : '';
  const noise = photons ? `Each uncovered cell counts ${photons.toLocaleString('en-GB')} photons, and the line integrals have the noise of that count (seeded, so always the same).` : 'Without noise: exact line integrals, averaged over each cell.';
  const gone = lost ? `\nFrames ${lost.join(', ')} (counted from 0) are lost: they are missing from the sinogram and from the list of angles.\n` : '';
  return `# ${scan.title}

Invented, and computed by \`scripts/make-samples.ts\` with this project's own library: for practice, not a measurement, and no check of
the library either. Licence CC BY 4.0.

The object:

${object.map(([what]) => `- ${what}`).join('\n')}

${shape}; ${turn}, counter-clockwise; ${detector.columns} cells of ${detector.pitch} mm.${axis}
${noise}
${gone}
Attenuation is that of a beam of one energy, ${keV} keV, from \`datasets/attenuation\` (NISTIR 5632), so there is no beam hardening.
\`sinogram.npy\` has a view in each row (float32). Try it: \`npm run --silent slices -- reconstruct datasets/${folder}/scan.json --out out/slice.tif\`
`;
}

if (import.meta.main) {
  const datasets = new URL('../datasets/', import.meta.url);
  for (const [path, bytes] of sampleFiles()) {
    mkdirSync(new URL('./', new URL(path, datasets)), { recursive: true });
    writeFileSync(new URL(path, datasets), bytes);
    console.log(`datasets/${path}, ${bytes.length} bytes`);
  }
}
