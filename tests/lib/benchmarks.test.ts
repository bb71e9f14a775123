/** What of the benchmarks is not time: the exponent, the tables, the plan, and that the vectors' loop computes what it is said to. */
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { multiplyAddModule } from '../../benchmarks/multiply-add.ts';
import { examples, marks, planText, speedsOf, withPlan } from '../../benchmarks/plan-2048.ts';
import { framesBytes, planSlabs, updates, volumeBytes } from '../../benchmarks/plan-slabs.ts';
import { median, powerLaw } from '../../benchmarks/power-law.ts';
import type { Results, Tried } from '../../benchmarks/results.ts';
import { bytes, digits, markdownOf, tablesOf, time } from '../../benchmarks/tables.ts';
import { dataOf, updatesOf } from '../../benchmarks/tasks.ts';

const read = (name: string) => readFileSync(new URL(`../../benchmarks/${name}`, import.meta.url), 'utf8');

test('powerLaw finds the power that the points were made with, and lies between two that disagree', () => {
  const made = powerLaw([64, 128, 256, 512].map((size) => ({ size, time: 3e-6 * size ** 2.5 })));
  expect(made.exponent).toBeCloseTo(2.5, 10);
  expect(made.factor).toBeCloseTo(3e-6, 12);
  const { exponent } = powerLaw([{ size: 1, time: 1 }, { size: 2, time: 4 }, { size: 4, time: 32 }]); // 2, then 3
  expect(exponent).toBeCloseTo(2.5, 10);
  expect(() => powerLaw([{ size: 1, time: 1 }])).toThrow(RangeError);
  expect(() => powerLaw([{ size: 1, time: 1 }, { size: 2, time: 0 }])).toThrow(RangeError);
});

test('median, of an even and an odd number', () => {
  expect(median([3, 1, 2])).toBe(2);
  expect(median([4, 1, 3, 2])).toBe(2.5);
});

test('the vectors’ loop is WebAssembly that multiplies and adds: twelve sums after so many rounds', async () => {
  const { instance } = await WebAssembly.instantiate(multiplyAddModule());
  const work = instance.exports.f as (rounds: number) => number;
  const expected = (rounds: number) => {
    let sum = 0;
    for (let k = 1; k <= 12; k++) {
      let value = k;
      for (let round = 0; round < rounds; round++) value = 0.999 * value + 0.001;
      sum += value;
    }
    return sum;
  };
  for (const rounds of [1, 7, 500]) expect(work(rounds) / expected(rounds)).toBeCloseTo(1, 4);
});

test('updates and data of a task, by hand', () => {
  expect(updatesOf({ kind: 'fbp', size: 512, views: 360, runs: 1 })).toBe(94_371_840);
  expect(updatesOf({ kind: 'sirt-cone', size: 10, views: 3, iterations: 5, runs: 1 })).toBe(2 * 5 * 1000 * 3);
  expect(dataOf({ kind: 'fdk', size: 10, views: 3, cells: 20, runs: 1 })).toBe(4 * (3 * 400 + 1000));
  expect(dataOf({ kind: 'fbp', size: 10, views: 3, runs: 1 })).toBe(4 * (30 + 100));
});

test('numbers as a person reads them', () => {
  expect([digits(0.12345), digits(12.345), digits(1234.5), digits(0)]).toEqual(['0.123', '12.3', '1,230', '0']);
  expect([time(0.4567), time(999), time(2345)]).toEqual(['0.457 ms', '999 ms', '2.35 s']);
  expect([bytes(12_345), bytes(64e6), bytes(33.56e9)]).toEqual(['12.3 kB', '64 MB', '33.6 GB']);
});

const tried = (engine: Tried['engine'], milliseconds: number, workers?: number): Tried => ({ engine, workers, says: engine, milliseconds, range: [milliseconds, milliseconds], runs: 1, peak: 2e8, own: 1.518e8 } as Tried);
const invented: Results = {
  date: '2031-02-03', machine: { processor: 'A processor | with a stroke', cores: 2, memory: 8e9, node: 'v0', load: 0.1 }, quick: false, seconds: 300, limits: { bandwidth: 1e10, operations: 1e10 },
  tasks: [{
    task: { kind: 'fbp', size: 500, views: 400, runs: 3 }, engines: [tried('plain', 200), tried('simd', 50, 2)],
    peers: [{ peer: 'scikit-image', named: 'iradon', found: { version: '1', milliseconds: 1000, range: [900, 1100], runs: 3, peak: 1e8 } }, { peer: 'Octave image', named: 'iradon', found: null }],
  }],
  growth: [{ kind: 'slices', engine: { engine: 'plain' }, points: [{ size: 128, milliseconds: 10, peak: 1 }, { size: 256, milliseconds: 80, peak: 1 }], exponent: 3 }],
  plates: [{ plate: 'smear', control: 'all', pixels: 256, moves: 9, median: 5, p95: 6, worst: 7 }, { plate: 'smear', control: 'laid', moves: 9, median: 5, p95: 6, worst: 7 }],
  pages: null, gpu: null,
};

test('the tables: ratios, rates and shares, from invented results', () => {
  const [beside, limits, memory, growth, plates, ...more] = tablesOf(invented);
  expect(more, 'a table without rows is left out').toEqual([]);
  expect(beside.rows).toEqual([
    [expect.stringContaining('500²'), 'plain', '200 ms', '1 run', '0.5 G', '5 ×', '–', '5 ×'], // 500² · 400 updates in 0.2 s
    [expect.any(String), 'simd, 2 workers', '50 ms', '1 run', '2 G', '20 ×', '–', '20 ×'],
    [expect.any(String), 'scikit-image 1, iradon', '1 s', '900 ms to 1.1 s, 3 runs', '0.1 G', '', '', ''],
  ]);
  expect(limits.rows.map((row) => row[2])).toEqual(['30 %', '60 %']); // 6 · 0.5 G of 10 G; 6 · 2 G of 2 · 10 G
  expect(memory.rows[0].slice(2)).toEqual(['1.8 MB', '200 MB', '152 MB', '150 MB']);
  expect(growth).toMatchObject({ head: ['work', 'by', '128²', '256²', 'exponent'], rows: [['slices', 'plain', '10 ms', '80 ms', '3.00']] });
  expect(plates.rows).toEqual([['smear', '256²', '9', '5 ms', '6 ms', '7 ms']]);
  for (const { head, rows } of tablesOf(invented)) for (const row of rows) expect(row).toHaveLength(head.length);
});

test('as Markdown: every table, every row, strokes kept apart from columns', () => {
  const text = markdownOf({ ...invented, tasks: invented.tasks.map((task) => ({ ...task, peers: [{ ...task.peers[0], named: 'a|b' }] })) });
  for (const { title, rows } of tablesOf(invented)) expect(text.split(`## ${title}\n`)[1].split('\n## ')[0].match(/^\|.*\|$/gm)!.length).toBeGreaterThanOrEqual(2 + rows.length - 1);
  expect(text).not.toContain('Other programs');
  expect(markdownOf({ ...invented, machine: { ...invented.machine, load: 3 } })).toContain('Other programs were at work when it began (a load of 3 on 2 cores)');
  expect(text).toContain('a\\|b');
  expect(text.match(/NaN|undefined|Infinity/)).toBeNull();
});

test('the plan: 2048³ from 2,000 frames takes what its definition says, and slabs never less than all rows', () => {
  const scan = { size: 2048, views: 2000, coneAngle: 10 };
  expect(framesBytes(scan)).toBe(33_554_432_000);
  expect(volumeBytes(scan)).toBe(34_359_738_368);
  expect(updates(scan)).toBe(17_179_869_184_000);
  expect(planSlabs(scan, 1)).toMatchObject({ mostRows: 2048, readShare: 1, read: 33_554_432_000, held: 33_554_432_000 + 34_359_738_368 });
  let before = planSlabs(scan, 1);
  for (const slabs of [4, 16, 64]) {
    const plan = planSlabs(scan, slabs);
    expect(plan.readShare).toBeGreaterThan(before.readShare);
    expect(plan.held).toBeLessThan(before.held);
    before = plan;
  }
  expect(planSlabs({ ...scan, coneAngle: 20 }, 16).mostRows).toBeGreaterThan(planSlabs(scan, 16).mostRows);
});

test('a slab’s rows, by similar triangles: four slabs of a volume as high as wide that fills the field', () => {
  const scan = { size: 1000, views: 10, coneAngle: 20 };
  const half = scan.size / 2, distance = half / Math.tan((10 * Math.PI) / 180), axis = distance / 1.5;
  const radius = axis * Math.sin(Math.atan((half - 0.5) / distance)); // half of the volume's edge
  const corner = radius * Math.SQRT2; // of the square slice, where the rays are steepest and flattest
  // The third slab reaches from the middle up to half of the radius, the fourth from there up to beyond the detector's edge.
  const third = ((radius / 2) * distance) / (axis - corner), fourth = half - ((radius / 2) * distance) / (axis + corner);
  const least = Math.max(third, fourth);
  expect(planSlabs(scan, 4).mostRows).toBeGreaterThanOrEqual(Math.floor(least));
  expect(planSlabs(scan, 4).mostRows).toBeLessThanOrEqual(Math.ceil(least) + 5); // a row to spare at both ends, and where the middles of voxels lie
});

test('the price and the time of the plan, from an invented speed', () => {
  const text = planText([{ who: 'an invented engine', updatesPerSecond: 1e9, kind: 'core' }]);
  expect(text).toContain('| one core, an invented engine | 1 G | 4.77 h |'); // 1.718e13 / 1e9 s
  expect(text).toContain(`| ${examples.cores} cores, an invented engine | 1 G | 4.47 min |`);
  expect(text).toMatch(/\| 0\.24 \|$/m); // 4.77 h · 0.05
  expect(text).toContain('No graphics card was measured');
  const card = planText([{ who: 'an invented card', updatesPerSecond: 1e12, kind: 'gpu' }]);
  expect(card).toMatch(/\| one card, an invented card \| 1,000 G \| 17\.2 s \| .* \| moving the bytes \| 0\.01 \|/); // 17.2 s · 3 an hour
  expect(card).not.toContain('No graphics card');
});

test('beyond-one-machine.md has the figures of the last kept run', () => {
  const text = read('beyond-one-machine.md');
  expect(withPlan(text, planText(speedsOf(JSON.parse(read('results/last.json')) as Results)))).toBe(text);
  expect(() => withPlan(text.replace(marks[1], ''), '')).toThrow(/should have the marks/);
});

test('last.md is last.json in words', () => {
  expect(read('results/last.md')).toBe(markdownOf(JSON.parse(read('results/last.json')) as Results));
});
