/**
 * node benchmarks/plan-2048.ts [--write]: what a volume of 2048³ from 2,000 frames of 2048² takes, at the speeds of the last kept run
 * (results/last.json). --write puts the figures into beyond-one-machine.md, between its two marks.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { framesBytes, planSlabs, updates, volumeBytes, type BigScan } from './plan-slabs.ts';
import type { Results } from './results.ts';
import { bytes, digits, nameOf } from './tables.ts';
import { updatesOf } from './tasks.ts';

export const bigScan: BigScan = { size: 2048, views: 2000, coneAngle: 10 };
const slabsInPlan = 16;
/** Examples, to be replaced by your own: nobody's price, no source. */
export const examples = { coreHour: 0.05, gpuHour: 3, disk: 1e9, cores: 64 };

export interface Speed { readonly who: string; readonly updatesPerSecond: number; readonly kind: 'core' | 'gpu' }

/** The figures as Markdown. */
export function planText(speeds: readonly Speed[], scan = bigScan): string {
  const { size, views, coneAngle } = scan;
  const row = (cells: readonly string[]) => `| ${cells.join(' | ')} |`;
  const table = (head: readonly string[], rows: readonly (readonly string[])[]) => [row(head), row(head.map(() => '---')), ...rows.map(row)].join('\n');
  const plan = planSlabs(scan, slabsInPlan);
  const moving = (plan.read + volumeBytes(scan)) / examples.disk;
  const money = (amount: number) => (amount < 1 ? amount.toFixed(2) : amount < 100 ? amount.toFixed(1) : digits(amount));
  const hours = (seconds: number) => (seconds < 120 ? `${digits(seconds)} s` : seconds < 7200 ? `${digits(seconds / 60)} min` : `${digits(seconds / 3600)} h`);
  const timings = speeds.flatMap(({ who, updatesPerSecond, kind }) => {
    const seconds = updates(scan) / updatesPerSecond;
    const price = kind === 'core' ? examples.coreHour : examples.gpuHour;
    const line = (count: number, name: string) => {
      const work = seconds / count;
      return [name, `${digits(updatesPerSecond / 1e9)} G`, hours(work), hours(moving), work > moving ? 'the arithmetic' : 'moving the bytes', money((seconds / 3600) * price)];
    };
    return kind === 'core' ? [line(1, `one core, ${who}`), line(examples.cores, `${examples.cores} cores, ${who}`)] : [line(1, `one card, ${who}`), line(4, `four cards, ${who}`)];
  });
  return `${table(['what', 'how much'], [
    [`${views.toLocaleString('en-GB')} frames of ${size}², 32-bit floats`, bytes(framesBytes(scan))],
    [`volume of ${size}³, 32-bit floats`, bytes(volumeBytes(scan))],
    ['voxels times views', updates(scan).toExponential(2).replace('e+', ' · 10^')],
  ])}

With ${coneAngle}° between the lowest ray and the highest:

${table(['slabs', 'rows of the slab that needs most', 'frames read, all slabs', 'times over', 'held by the largest slab, rows and voxels'],
    [1, 8, 16, 32, 64, 128].map((slabs) => { const { mostRows, read, readShare, held } = planSlabs(scan, slabs); return [String(slabs), String(mostRows), bytes(read), readShare.toFixed(2), bytes(held)]; }))}

A steeper cone needs more rows; in ${plan.slabs} slabs:

${table(['lowest to highest ray', 'rows of the slab that needs most', 'frames read, all slabs', 'times over'],
    [0.5, 5, 10, 20, 40].map((angle) => { const { mostRows, read, readShare } = planSlabs({ ...scan, coneAngle: angle }, slabsInPlan); return [`${angle}°`, String(mostRows), bytes(read), readShare.toFixed(2)]; }))}

In ${plan.slabs} slabs ${bytes(plan.read)} are read and ${bytes(volumeBytes(scan))} written, ${hours(moving)} at ${bytes(examples.disk)} a second, an example for one disk or one network that all share. Prices are examples, too, without a source: ${examples.coreHour} a core-hour, ${examples.gpuHour} a card-hour, in whatever currency.

${table(['done by', 'updates a second, each', 'arithmetic', 'moving the bytes', 'what it waits for', 'price, example'], timings)}${speeds.some(({ kind }) => kind === 'gpu') ? '' : '\n\nNo graphics card was measured in that run, so none stands here.'}`;
}

const here = (name: string) => join(import.meta.dirname, name);

/** Of the last kept run: a core by each engine, and the card where there is one. */
export function speedsOf({ tasks, gpu }: Pick<Results, 'tasks' | 'gpu'>): Speed[] {
  const cone = tasks.find(({ task }) => task.kind === 'fdk');
  const cores = (cone?.engines ?? []).filter((tried) => tried.engine === 'plain' || (tried.engine === 'simd' && tried.workers === 1))
    .map((tried): Speed => ({ who: tried.engine === 'plain' ? nameOf(tried) : 'simd', updatesPerSecond: (1000 * updatesOf(cone!.task)) / tried.milliseconds, kind: 'core' }));
  return [...cores, ...(gpu ? [{ who: gpu.card, updatesPerSecond: gpu.backprojection[0]!.updatesPerSecond, kind: 'gpu' as const }] : [])];
}

export function currentPlan(): string {
  return planText(speedsOf(JSON.parse(readFileSync(here('results/last.json'), 'utf8')) as Results));
}

export const marks = ['<!-- computed by plan-2048.ts: from here -->', '<!-- to here -->'] as const;

/** The text with what stands between the marks replaced. */
export function withPlan(text: string, plan: string): string {
  const [from, to] = marks.map((mark) => text.indexOf(mark));
  if (!(from! >= 0 && to! > from!)) throw new Error(`beyond-one-machine.md should have the marks ${marks.join(' and ')}.`);
  return `${text.slice(0, from! + marks[0].length)}\n\n${plan}\n\n${text.slice(to!)}`;
}

export function writePlan(): void {
  const path = here('beyond-one-machine.md');
  writeFileSync(path, withPlan(readFileSync(path, 'utf8'), currentPlan()));
}

if (import.meta.main) {
  if (process.argv.includes('--write')) writePlan();
  else console.log(currentPlan());
}
