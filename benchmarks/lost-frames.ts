/**
 * node benchmarks/lost-frames.ts [--draws 50] [--lost 5] [--json]: how often lost frames are found, from the demo photographs of the capsule (all
 * their rows, and one row alone) and, where they lie beside the checkout, from the measured discs, each thinned to 45 views. A draw takes frames
 * out at random, seeded, and is right when every frame stands at its step, up to a common turn. Never part of the tests.
 */
import { existsSync, readFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { lineIntegralsFrom, placeFrames, readNpy, readPhotograph, readScan, scanGeometry, scanPhotoOptions, type BeamWithoutAngles, type Projections } from '../src/lib/index.ts';

const steps = 45;
const { values } = parseArgs({ options: { draws: { type: 'string', default: '50' }, lost: { type: 'string', default: '5' }, json: { type: 'boolean', default: false } } });
const [draws, lost] = [Number(values.draws), Number(values.lost)];
const say = (text: string) => { if (!values.json) console.log(text); };

/** Frames of a whole turn in 45 steps, or in a multiple of them to be thinned; `clockwise` steps count down. */
interface Source {
  readonly name: string;
  readonly frames: Projections;
  readonly detector: BeamWithoutAngles;
  readonly clockwise: boolean;
}

const sources: Source[] = [];
const photographs = await capsulePhotographs();
sources.push(photographs, oneRow(photographs));
for (const disc of ['disc-01a', 'disc-04b']) {
  const folder = new URL(`../../shared/measured/${disc}/`, import.meta.url);
  if (existsSync(folder)) sources.push(measuredDisc(disc, folder));
  else say(`${disc} was not tried: ${folder.pathname} is not there.`);
}

const results = sources.map(run);
say(`\n${lost} of ${steps} frames lost, ${draws} draws each`);
say(`${'frames'.padEnd(34)}right  within one  sure of the right: mean, least  of the wrong: mean, most  seconds`);
for (const { name, outcomes } of results) {
  const right = outcomes.filter(({ out }) => out === 0), wrong = outcomes.filter(({ out }) => out > 0);
  const mean = (list: typeof outcomes) => (list.length > 0 ? (list.reduce((sum, { sure }) => sum + sure, 0) / list.length).toFixed(3) : '–');
  const end = (list: typeof outcomes, pick: (...values: number[]) => number) => (list.length > 0 ? pick(...list.map(({ sure }) => sure)).toFixed(3) : '–');
  const seconds = outcomes.reduce((sum, each) => sum + each.seconds, 0) / outcomes.length;
  say(`${name.padEnd(34)}${String(right.length).padStart(5)}${String(outcomes.filter(({ farthest }) => farthest <= 1).length).padStart(12)}${`${mean(right)}, ${end(right, Math.min)}`.padStart(32)}${`${mean(wrong)}, ${end(wrong, Math.max)}`.padStart(26)}${seconds.toFixed(1).padStart(9)}`);
}
if (values.json) console.log(JSON.stringify({ steps, lost, draws, results }));

function run({ name, frames, detector, clockwise }: Source) {
  const outcomes = Array.from({ length: draws }, (_, draw) => {
    const random = numbersFrom(draw + 1);
    const kept = Array.from({ length: steps }, (_, k) => k);
    for (let i = 0; i < lost; i++) kept.splice(Math.floor(random() * kept.length), 1);
    const every = frames.views / steps;
    const first = Math.floor(random() * every);
    const begun = performance.now();
    const placed = placeFrames(chosen(frames, kept.map((k) => first + every * k)), detector, { steps, step: ((clockwise ? -2 : 2) * Math.PI) / steps });
    const seconds = (performance.now() - begun) / 1000;
    const away = stepsAway(placed.steps, kept);
    const outcome = { draw: draw + 1, out: away.filter((step) => step > 0).length, farthest: Math.max(...away), sure: placed.sure, next: placed.next?.sure ?? 0, seconds };
    say(`${name}, draw ${outcome.draw}: ${outcome.out === 0 ? 'right' : `${outcome.out} frames out, by ${outcome.farthest} at most`}, sure ${outcome.sure.toFixed(3)}, ${seconds.toFixed(1)} s`);
    return outcome;
  });
  return { name, outcomes };
}

/** How far each frame is from its step, once the whole is turned so that most frames are right. */
function stepsAway(found: readonly number[], kept: readonly number[]): number[] {
  const turns = found.map((step, i) => (((step - kept[i]!) % steps) + steps) % steps);
  const usual = turns.reduce((best, turn) => (turns.filter((each) => each === turn).length > turns.filter((each) => each === best).length ? turn : best));
  return turns.map((turn) => Math.min((turn - usual + steps) % steps, (usual - turn + steps) % steps));
}

async function capsulePhotographs(): Promise<Source> {
  const folder = new URL('../datasets/capsule/', import.meta.url);
  const scan = readScan(readFileSync(new URL('scan.json', folder), 'utf8'));
  if (scan.frames.kind !== 'photographs') throw new Error('datasets/capsule/scan.json should list photographs.');
  const { files, dark = [], flat = [], bin = 1 } = scan.frames;
  say(`Reading ${files.length} photographs …`);
  const list = (names: readonly string[]) => ({ count: names.length, frame: (k: number) => readPhotograph(new Uint8Array(readFileSync(new URL(names[k]!, folder))), names[k]!) });
  const { projections } = await lineIntegralsFrom({ views: list(files), dark: list(dark), flat: list(flat) }, scanPhotoOptions(scan));
  const { angles: _, ...geometry } = scanGeometry(scan);
  const detector = { ...geometry, detectors: projections.columns, rows: projections.rows, pitch: bin * geometry.pitch, axisOffset: 0 } as BeamWithoutAngles;
  return { name: 'capsule photographs, 256 × 192', frames: projections, detector, clockwise: scan.turn === 'clockwise' };
}

/** The row in the plane of the source, which is a fan's. */
function oneRow({ frames: { views, rows, columns, data }, detector, clockwise }: Source): Source {
  const row = Math.floor(rows / 2);
  const line = new Float32Array(views * columns);
  for (let view = 0; view < views; view++) line.set(data.subarray((view * rows + row) * columns, (view * rows + row + 1) * columns), view * columns);
  const { pitch, sourceToAxis, sourceToDetector } = detector as Extract<BeamWithoutAngles, { beam: 'cone' }>;
  return { name: 'their middle row alone', frames: { views, rows: 1, columns, data: line }, detector: { beam: 'fan', detectors: columns, pitch, axisOffset: 0, sourceToAxis, sourceToDetector }, clockwise };
}

/** Acrylic discs: A. Meaney et al., Helsinki Tomography Challenge 2022, Zenodo, DOI 10.5281/zenodo.7418878 (CC BY 4.0). One row of a fan. */
function measuredDisc(name: string, folder: URL): Source {
  const scan = readScan(readFileSync(new URL('scan.json', folder), 'utf8'));
  const { shape: [views, columns], data } = readNpy(new Uint8Array(readFileSync(new URL('sinogram.npy', folder))));
  const { angles: _, ...detector } = scanGeometry(scan);
  return { name: `measured ${name}, one row`, frames: { views: views!, rows: 1, columns: columns!, data }, detector, clockwise: scan.turn === 'clockwise' };
}

function chosen({ rows, columns, data }: Projections, views: readonly number[]): Projections {
  const size = rows * columns;
  const result = new Float32Array(views.length * size);
  views.forEach((view, i) => result.set(data.subarray(view * size, (view + 1) * size), i * size));
  return { views: views.length, rows, columns, data: result };
}

/** Park and Miller's generator, Commun. ACM 31:1192 (1988), well mixed before it is used. */
function numbersFrom(seed: number): () => number {
  let state = seed * 7919;
  const next = () => (state = (48271 * state) % 2147483647) / 2147483647;
  for (let i = 0; i < 5; i++) next();
  return next;
}
