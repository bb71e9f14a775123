/**
 * npm run benchmark [-- --quick] [-- --json] [-- --keep]: each task in one run beside general-purpose peers, its memory, its share of what the
 * machine can do, how it grows with the size; then, in a real browser, how soon each plate answers and what each chapter loads.
 *   --quick   the larger sizes and most plates left out: two minutes instead of eight
 *   --json    one JSON object on standard output and nothing else
 *   --keep    writes results/last.json and results/last.md, which the page "How fast it is" shows, and the figures of beyond-one-machine.md
 *   --no-book leaves out what needs the built book, which is built where it is older than the sources; SITE_DIST=folder takes one that is there
 * Timings belong to the machine they were taken on: they are printed here and never tested. Other work on the machine counts.
 */
import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { availableParallelism, cpus, loadavg, totalmem } from 'node:os';
import { join, resolve } from 'node:path';
import { serve } from '../scripts/serve.mjs';
import { buildBook, findBrowser, root } from '../scripts/setup.mjs';
import { timeCard, timeOurs, timePeer } from './child.ts';
import { writePlan } from './plan-2048.ts';
import { pageWeights } from './page-weight.ts';
import { benchmarkPlates, launch } from './plates.ts';
import { median, powerLaw } from './power-law.ts';
import type { Growth, PeerResult, Results, TaskResult, Tried } from './results.ts';
import { inWords, dataOf, growingSlices, growingVolumes, mainTasks, peersOf, updatesOf, type EngineTried, type Task } from './tasks.ts';
import { markdownOf, nameOf, tablesOf, time } from './tables.ts';

const has = (option: string) => process.argv.includes(option);
const [json, quick, keep] = [has('--json'), has('--quick'), has('--keep')];
const say = (text: string) => { if (!json) console.log(text); };
/** Said once, on standard error. */
const missed = new Set<string>();
const without = (what: string) => { if (!missed.has(what)) console.error(`${what}: it is left out.`); missed.add(what); };
const cores = availableParallelism();
const engines: EngineTried[] = [{ engine: 'plain' }, { engine: 'simd', workers: 1 }, ...(cores > 1 ? [{ engine: 'simd' as const, workers: 2 }] : [])];
const rounds = quick ? 1 : 2;
const begun = performance.now();
const busy = loadavg()[0]!;

/** By turns, so that a change in the machine's load touches all alike. */
async function taskResult(task: Task): Promise<TaskResult> {
  const ours = new Map<EngineTried, { milliseconds: number[]; peak: number; own: number; says: string }>();
  const peers = (peersOf[task.kind] ?? []).map((peer) => ({ ...peer, milliseconds: [] as number[], version: '', peak: null as number | null }));
  for (let round = 0; round < rounds; round++) {
    for (const engine of engines) {
      if (round > 0 && (ours.get(engine)?.milliseconds[0] ?? Infinity) > 4000) continue; // long work is measured once
      const found = await timeOurs(task, engine);
      if (!found) {
        without(`The engine ${nameOf(engine)} is not to be had here`);
        continue;
      }
      const before = ours.get(engine);
      ours.set(engine, { ...found, milliseconds: [...(before?.milliseconds ?? []), ...found.milliseconds] });
      say(`  ${inWords(task)}, ${nameOf(engine)}: ${time(median(found.milliseconds))}`);
    }
    for (const peer of peers) {
      if (round > 0 && (peer.milliseconds[0] ?? Infinity) > 2000) continue;
      const found = await timePeer(peer.peer, peer.task, task, peer.peer === 'scikit-image' ? 3 : 1);
      if (!found) {
        without(peer.peer === 'scikit-image' ? 'scikit-image is not installed (Debian: python3-skimage)' : 'Octave or its image package is not installed (Debian: octave, octave-image)');
        continue;
      }
      peer.milliseconds.push(...found.milliseconds);
      [peer.version, peer.peak] = [found.version, found.peak];
      say(`  ${inWords(task)}, ${peer.peer} ${peer.named}: ${time(median(found.milliseconds))}`);
    }
  }
  const range = (values: readonly number[]) => [Math.min(...values), Math.max(...values)] as const;
  return {
    task,
    engines: [...ours].map(([engine, { milliseconds, peak, own, says }]): Tried => ({
      ...engine, says, milliseconds: median(milliseconds), range: range(milliseconds), runs: milliseconds.length, peak, own,
    })),
    peers: peers.map(({ peer, named, milliseconds, version, peak }): PeerResult => ({
      peer, named, found: milliseconds.length === 0 ? null : { version, milliseconds: median(milliseconds), range: range(milliseconds), runs: milliseconds.length, peak },
    })),
  };
}

const tooLong = 40_000; // ms, by what the size before took
async function growth(kind: Growth['kind'], tasks: readonly Task[], engine: EngineTried): Promise<Growth> {
  const points: { size: number; milliseconds: number; peak: number }[] = [];
  for (const [k, task] of tasks.entries()) {
    const last = points.at(-1);
    if (last && (last.milliseconds * updatesOf(task)) / updatesOf(tasks[k - 1]!) > tooLong) break;
    if (2 * dataOf(task) > totalmem() / 2) break;
    const found = await timeOurs(task, engine);
    if (!found) break;
    points.push({ size: task.size, milliseconds: median(found.milliseconds), peak: found.peak });
    say(`  ${inWords(task)}, ${nameOf(engine)}: ${time(median(found.milliseconds))}`);
  }
  return { kind, engine, points, exponent: points.length < 2 ? null : powerLaw(points.map(({ size, milliseconds }) => ({ size, time: milliseconds }))).exponent };
}

async function inBrowser(): Promise<Pick<Results, 'plates' | 'pages'>> {
  if (has('--no-book')) return { plates: null, pages: null };
  const folder = resolve(process.env.SITE_DIST ?? join(root, 'dist'));
  if (!process.env.SITE_DIST) buildBook();
  process.env.CHROME_PATH = findBrowser();
  const { address, close } = await serve(folder);
  const browser = await launch();
  try {
    say('  the plates of the book, and what its chapters load');
    return { pages: await pageWeights(browser, address, folder), plates: await benchmarkPlates(browser, address, quick) };
  } finally {
    await browser.close();
    await close();
  }
}

const limits = JSON.parse(execFileSync(process.execPath, [join(import.meta.dirname, 'machine-limits.ts')], { encoding: 'utf8' })) as Results['limits'];
// Once at a very small size, and not counted: what is compiled then is kept, and a first run takes 20 MB to compile it.
for (const task of mainTasks(quick)) for (const engine of engines) await timeOurs({ ...task, size: 16, views: 4, cells: 16, iterations: 1, runs: 1 }, engine);
const tasks: TaskResult[] = [];
for (const task of mainTasks(quick)) tasks.push(await taskResult(task));
const grown: Growth[] = [];
const [plain, one, two = one] = engines;
for (const engine of [plain, two] as EngineTried[]) {
  grown.push(await growth('slices', growingSlices(quick), engine));
  grown.push(await growth('volumes', growingVolumes(quick), engine));
}
const gpu = await timeCard(!quick);
const { plates, pages } = await inBrowser();
const results: Results = {
  date: new Date().toISOString().slice(0, 10),
  machine: { processor: processor(), cores, memory: totalmem(), node: process.version, load: busy },
  quick, seconds: (performance.now() - begun) / 1000, limits, tasks, growth: grown.filter(({ points }) => points.length > 0), plates, pages, gpu,
};

if (keep) {
  writeFileSync(join(import.meta.dirname, 'results/last.json'), `${JSON.stringify(results, (_, value) => (typeof value === 'number' ? Number(value.toPrecision(6)) : value), 1)}\n`);
  writeFileSync(join(import.meta.dirname, 'results/last.md'), markdownOf(results));
  writePlan();
}
if (json) console.log(JSON.stringify(results));
else {
  console.log(`\n${results.date}, ${results.machine.processor}, ${cores} cores, Node ${process.version}`);
  for (const { title, note, head, rows } of tablesOf(results)) {
    const widths = head.map((_, k) => Math.max(...[head, ...rows].map((row) => row[k]!.length)));
    const print = (row: readonly string[]) => console.log(`  ${row.map((cell, k) => cell.padEnd(widths[k]!)).join('  ').trimEnd()}`);
    console.log(`\n${title}\n${note}`);
    [head, ...rows].forEach(print);
  }
}

/** As the system names it; on some virtual machines it names nothing. */
function processor(): string {
  const model = cpus()[0]?.model.trim();
  if (model && model !== 'unknown') return model;
  try {
    return /^model name\s*:\s*(.+)$/m.exec(readFileSync('/proc/cpuinfo', 'utf8'))?.[1] ?? 'a processor without a name';
  } catch {
    return 'a processor without a name';
  }
}
