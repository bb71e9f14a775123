/**
 * The program of controllerListing, compiled and run by tools that know nothing of it: avr-gcc with all warnings; a computer's g++ with a board of
 * ours (controller/board.h) that upsets it at every single call; and simavr, which runs the chip's own code cycle by cycle.
 */
import { execFile } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { controllerListing, runSheet, stageTable, type Plan, type XrayPlan, type SheetOptions } from '../../src/lib/index.ts';
import { refusal } from '../lib/support/bad-input.ts';

const here = fileURLToPath(new URL('controller/', import.meta.url));
const lamp = JSON.parse(readFileSync(new URL('../../datasets/light-practice/plan.json', import.meta.url), 'utf8')) as Plan;
const capsule = JSON.parse(readFileSync(new URL('../../datasets/capsule/plan.json', import.meta.url), 'utf8')) as XrayPlan;
const folder = mkdtempSync(join(tmpdir(), 'controller-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Times of a few ms, so that every moment of a run can be tried. */
const quick: SheetOptions = { settle: 0.002, lead: 0.002, stepTime: 0.001, warning: 0.005, saving: 0, fraction: 1 };
const small: XrayPlan = { ...capsule, views: { count: 7 }, exposure: { seconds: 0.003, rest: 0.004 }, stage: { fullSteps: 48, microsteps: 2, gear: { motor: 3, table: 2 } } };
const cases = {
  small: { plan: small, perTurn: 144 },
  // Two exposures a view, and half a turn.
  pairs: { plan: { ...small, views: { count: 3, turn: 180 }, exposure: { ...small.exposure, frames: 2 } }, perTurn: 144 },
  capsule: { plan: { ...capsule, exposure: small.exposure }, perTurn: 3200 },
  // Fractions that only 64 bits hold.
  geared: { plan: { ...capsule, exposure: small.exposure, views: { count: 360, turn: 203.517 }, stage: { fullSteps: 200, microsteps: 16, gear: { motor: 72, table: 17 } } }, perTurn: 13553 },
} satisfies Record<string, { plan: XrayPlan; perTurn: number }>;
type Case = keyof typeof cases;
const chipPlan: XrayPlan = { ...small, exposure: { seconds: 0.02, rest: 0.02 } };
const chipTimes: SheetOptions = { ...quick, settle: 0.01, warning: 0.05 };

function run(program: string, args: readonly string[], input = ''): Promise<string> {
  return new Promise((resolve, reject) => {
    const child = execFile(program, args, { maxBuffer: 1 << 28 }, (error, stdout, stderr) => (error ? reject(new Error(`${program} ${args.join(' ')}: ${error.message}\n${stderr}`)) : resolve(stdout)));
    child.stdin!.on('error', () => {}); // a program that does not read may be gone already
    child.stdin!.end(input);
  });
}

function requireTools(): void {
  const missing = ['avr-g++', 'avr-size', 'g++', 'gcc'].filter((name) => !(process.env.PATH ?? '').split(delimiter).some((place) => existsSync(join(place, name)) || existsSync(join(place, `${name}.exe`))));
  if (missing.length > 0) throw new Error(`The controller's tests need ${missing.join(', ')}: install gcc-avr, avr-libc, g++ and libsimavr-dev (Debian's names; npm test does so where it may).`);
}

const warnings = ['-Wall', '-Wextra', '-Werror'];
const forChip = (source: string, out: string) => run('avr-g++', ['-mmcu=atmega328p', '-DF_CPU=16000000UL', '-Os', '-std=c++11', ...warnings, source, '-o', out]);
async function forBench(name: string, listing: string, perTurn: number): Promise<void> {
  const source = join(folder, `${name}.cpp`);
  writeFileSync(source, listing);
  await run('g++', ['-std=c++17', '-O1', ...warnings, '-I', here, `-DPER_TURN=${perTurn}`, '-DWANTED_TICKS=3', `-DLISTING="${source}"`, join(here, 'bench.cpp'), '-o', join(folder, name)]);
}

/** place, ms, ms since the beam before (−1 for none), call at its end, ms at its beginning. */
type Beam = [place: number, ms: number, gap: number, call: number, begins: number];
interface Told { readonly beams: Beam[]; readonly cut: Beam[]; readonly recorded: number[]; readonly calls: number; readonly boots: number; readonly opened: number; readonly violations: string; readonly said: string }
async function bench(name: string, scenarios: readonly string[]): Promise<Told[]> {
  const lines = (await run(join(folder, name), [], `${scenarios.join('\n')}\n`)).trimEnd().split('\n');
  expect(lines).toHaveLength(scenarios.length);
  return lines.map((line) => JSON.parse(line) as Told);
}
const each = (name: Case) => (cases[name].plan.exposure as XrayPlan['exposure']).frames ?? 1;
/** Where every exposure should be, microsteps from the mark. */
function wanted(name: Case): number[] {
  const { stage, views } = cases[name].plan as XrayPlan;
  return stageTable(stage!, views.count, ((views.turn ?? 360) * Math.PI) / 180).rows.flatMap(({ position }) => new Array<number>(each(name)).fill(position));
}
const places = (name: Case, { beams }: Told) => beams.map(([place]) => place % cases[name].perTurn);
const tookAll = (count: number) => Array.from({ length: count }, (_, k) => `took exposure ${k + 1}`);
const took = ({ said }: Told) => said.split('|').filter((line) => line.startsWith('took'));

beforeAll(async () => {
  requireTools();
  await Promise.all((Object.keys(cases) as Case[]).map((name) => forBench(name, controllerListing(cases[name].plan, quick), cases[name].perTurn)));
});

describe('for the chip, with avr-gcc', () => {
  test.each<[string, Plan, SheetOptions]>([['the capsule', capsule, {}], ['a plan with a lamp', lamp, {}], ['fractions of 64 bits', cases.geared.plan, quick]])('%s: no warning; fits an ATmega328P many times over', async (name, plan, options) => {
    const [source, out] = [join(folder, `${name}.cpp`), join(folder, `${name}.elf`)];
    writeFileSync(source, controllerListing(plan, options));
    await forChip(source, out);
    const [text, data, bss] = (await run('avr-size', [out])).split('\n')[1].trim().split(/\s+/).map(Number);
    console.log(`${name}: ${text + data} bytes of 32,768 of program, ${data + bss} of 2,048 of memory`);
    expect(text + data).toBeLessThan(6000);
    expect(text).toBeGreaterThan(1000);
    expect(data + bss).toBeLessThan(200);
  });
  test('at most about 200 lines; nothing but avr-libc; its cautions stand', () => {
    const listing = controllerListing(capsule);
    expect(listing.split('\n').length).toBeLessThanOrEqual(210);
    expect([...listing.matchAll(/#include (\S+)/g)].map(([, name]) => name)).toEqual(['<stdint.h>', '<avr/eeprom.h>', '<avr/io.h>', '<avr/wdt.h>', '<util/delay.h>', '"board.h"']);
    for (const words of ['It never switches a tube', 'no program can', 'local law', 'licensed person', 'cuts the tube\'s supply']) expect(listing).toContain(words);
  });
  test('a title cannot break out of its comment', async () => {
    const source = join(folder, 'title.cpp');
    writeFileSync(source, controllerListing({ ...capsule, title: 'mine\n#error broken out\r\u2028*/ ??/ \\' }));
    await forChip(source, join(folder, 'title.elf'));
  });
});

describe('undisturbed', () => {
  test.each(Object.keys(cases) as Case[])('%s: every exposure once, where the step table has it, as long and as far apart as the run sheet has it', async (name) => {
    const [told] = await bench(name, ['']);
    expect(told.violations).toBe('');
    const places = told.beams.map(([place]) => place - told.beams[0][0]);
    expect(places).toEqual(wanted(name));
    expect(took(told)).toEqual(tookAll(places.length));
    const views = runSheet(cases[name].plan, quick).frames.filter(({ kind }) => kind === 'view');
    const begins = views.map((frame) => Math.round(1000 * (frame.begins - views[0].begins)));
    expect(told.beams.map(([, , , , ms]) => ms - told.beams[0][4])).toEqual(begins);
    expect(told.beams.every(([, ms]) => ms === 3)).toBe(true);
    expect(Math.min(...told.beams.slice(1).map(([, , gap]) => gap))).toBe(Math.min(...views.slice(1).map(({ restBefore }) => Math.round(1000 * restBefore))));
  });
});

/** What is wrong with runs of upsets at each call, in a few sentences. */
function faults(name: Case, plain: Told, scenarios: readonly string[], told: readonly Told[], kind: 'reset' | 'open'): string[] {
  const all = wanted(name);
  const expected = all.map((place) => place % cases[name].perTurn);
  return told.flatMap((one, n) => {
    const call = Number(scenarios[n].split(' ')[1]);
    const wrong: string[] = [];
    if (one.violations) wrong.push(one.violations);
    // An exposure that was whole and of which no record was whole yet is taken again; with the interlock, only in the very calls in which it ended.
    const frame = plain.beams.findIndex(([, , , end], k) => call >= end - 3 && call <= (kind === 'reset' ? plain.recorded[k] : end));
    const certainly = kind === 'reset' && frame >= 0 && call > plain.beams[frame][3] && call < plain.recorded[frame];
    const twice = frame < 0 ? expected : [...expected.slice(0, frame + 1), ...expected.slice(frame)];
    const found = places(name, one);
    if (String(found) !== String(twice) && (certainly || String(found) !== String(expected))) wrong.push(`exposures at ${found}, and should be at ${twice}`);
    if (one.beams.some(([, ms]) => ms !== 3)) wrong.push('an exposure of another length');
    if (one.cut.length > 1) wrong.push('more than one cut short');
    if (kind === 'open' && String(took(one)) !== String(tookAll(all.length))) wrong.push(`it said ${one.said}`);
    if (kind === 'open' ? one.boots !== 0 : one.boots !== 1) wrong.push(`${one.boots} resets`);
    return wrong.map((what) => `${scenarios[n]}: ${what}`);
  });
}
const everyCall = ({ calls }: Told) => Array.from({ length: calls - 1 }, (_, k) => k + 1);

describe('upset at every call that the program makes', () => {
  test.each<Case>(['small', 'pairs'])('%s: a reset, also while a cell is written: no frame is lost, and one is taken twice only if its record was not whole', async (name) => {
    const [plain] = await bench(name, ['']);
    // What a cell holds whose writing was cut short: all there, one off, its complement, the middle.
    const scenarios = [0, 1, 128, 255].flatMap((garbage) => everyCall(plain).map((call) => `reset ${call} garbage ${garbage}`));
    const told = await bench(name, scenarios);
    expect(faults(name, plain, scenarios, told, 'reset').slice(0, 5)).toEqual([]);
    const found = told.map(({ beams }) => beams.length);
    expect([Math.min(...found), Math.max(...found)], 'the tries reach both cases').toEqual([wanted(name).length, wanted(name).length + 1]);
    expect(told.filter(({ cut }) => cut.length === 1).length, 'exposures cut short by a reset').toBeGreaterThan(50);
  });
  test('while a record is written, whatever its cell then holds', async () => {
    const [plain] = await bench('small', ['']);
    const scenarios = [plain.recorded[0], plain.recorded[3], plain.recorded[6]].flatMap((end) => Array.from({ length: 10 * 256 }, (_, k) => `reset ${end - (k >> 8)} garbage ${k & 255}`));
    expect(faults('small', plain, scenarios, await bench('small', scenarios), 'reset').slice(0, 5)).toEqual([]);
  });
  test.each<Case>(['small', 'pairs'])('%s: the interlock opens for a moment, or for long: no request stands or is made, nothing goes on by itself, no frame is lost or taken twice', async (name) => {
    const [plain] = await bench(name, ['']);
    const scenarios = [1, 3, 900].flatMap((lasts) => everyCall(plain).map((call) => `open ${call} ${lasts}`));
    const told = await bench(name, scenarios);
    expect(faults(name, plain, scenarios, told, 'open').slice(0, 5)).toEqual([]);
    expect(told.filter(({ cut }) => cut.length === 1).length, 'exposures cut short').toBeGreaterThan(50);
  });
  test('and nobody comes: nothing is exposed after it, ever', async () => {
    const [plain] = await bench('small', ['']);
    const wrong = async (what: (call: number) => string) => {
      const scenarios = everyCall(plain).filter((call) => call < plain.recorded[6]).map(what);
      const told = await bench('small', scenarios);
      return told.flatMap((one, n) => {
        const [, call] = scenarios[n].split(' ').map(Number);
        const before = plain.beams.filter(([, , , end]) => end <= call + 1).length;
        return one.violations || one.beams.length > before ? [`${scenarios[n]}: ${one.beams.length} exposures, ${before} before; ${one.violations}`] : [];
      });
    };
    expect((await wrong((call) => `open ${call} 2 leaves ${call}`)).slice(0, 5)).toEqual([]);
    expect((await wrong((call) => `reset ${call} leaves ${call}`)).slice(0, 5)).toEqual([]);
  });
  test('twice and three times in a run, resets and openings in any order', async () => {
    const [plain] = await bench('small', ['']);
    let state = 20250401;
    const random = (below: number) => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) % below;
    const scenarios = Array.from({ length: 4000 }, () => {
      const calls = Array.from({ length: 2 + random(2) }, () => 1 + random(2 * plain.calls)).sort((a, b) => a - b);
      return `${calls.map((call) => (random(2) ? `reset ${call}` : `open ${call} ${1 + random(60)}`)).join(' ')} garbage ${random(256)}`;
    });
    const expected = wanted('small');
    const wrong = (await bench('small', scenarios)).flatMap((one, n) => {
      // In order, none left out, and none oftener than it was upset.
      const found = places('small', one);
      const once = found.filter((place, k) => place !== found[k - 1]);
      const fair = String(once) === String(expected) && found.length <= expected.length + 3;
      return one.violations || !fair ? [`${scenarios[n]}: ${one.violations} ${found}`] : [];
    });
    expect(wrong.slice(0, 5)).toEqual([]);
  });
  test('the capsule: a reset and an opening in each of its 45 frames, at eight moments', async () => {
    const [plain] = await bench('capsule', ['']);
    const moments = plain.recorded.flatMap((end, k) => Array.from({ length: 8 }, (_, n) => Math.floor((k > 0 ? plain.recorded[k - 1] : 0) + ((n + 0.5) / 8) * (end - (k > 0 ? plain.recorded[k - 1] : 0)))));
    for (const kind of ['reset', 'open'] as const) {
      const scenarios = moments.map((call) => (kind === 'reset' ? `reset ${call} garbage 7` : `open ${call} 20`));
      expect(faults('capsule', plain, scenarios, await bench('capsule', scenarios), kind).slice(0, 5)).toEqual([]);
    }
  });
});

test('after the last frame it stops, through a reset too, until somebody asks for a new run as the listing says', async () => {
  const [plain] = await bench('small', ['']);
  const [reset, anew] = await bench('small', [`reset ${plain.calls - 1}`, 'anew']);
  expect([reset.boots, reset.beams.length, reset.violations]).toEqual([1, 7, '']);
  expect(reset.said).toContain('all taken: 7|all taken: 7|');
  expect([anew.boots, anew.violations]).toEqual([1, '']);
  expect(places('small', anew)).toEqual([...wanted('small'), ...wanted('small')]);
});

test('a button that is stuck starts nothing, and through a reset it does not lose the place', async () => {
  const [plain] = await bench('small', ['']);
  const call = plain.recorded[2] + 5;
  const [stuck, afterReset] = await bench('small', ['stuck 1', `stuck ${call} reset ${call}`]);
  expect([stuck.violations, stuck.beams.length, stuck.beams[0][4] > 4000]).toEqual(['', 7, true]);
  expect([afterReset.violations, afterReset.boots, afterReset.beams[3][4] > 4000]).toEqual(['', 1, true]);
  expect(places('small', afterReset)).toEqual(wanted('small'));
});

test('a record of another plan counts for nothing', () => {
  const tag = (plan: XrayPlan) => /PLAN = (\d+)/.exec(controllerListing(plan))![1];
  expect(new Set([capsule, { ...capsule, views: { count: 40 } }, { ...capsule, exposure: { seconds: 2 } }, { ...capsule, views: { count: 45, turn: 180 } }].map(tag)).size).toBe(4);
});

describe('these tests see what is wrong: the same program, spoilt', () => {
  test.each<[what: string, from: string, to: string, scenarios: (plain: Told) => string[]]>([
    ['does not look at the interlock while it waits', 'while (interlockClosed()) {\n    if (ms', 'while (true) {\n    if (ms', (plain) => everyCall(plain).map((call) => `open ${call} 900`)],
    ['goes on by itself when the interlock has closed again', '    waitForPerson();\n', '    static bool once = true;\n    if (once) waitForPerson();\n    else acknowledge();\n    once = false;\n', (plain) => [`open ${plain.beams[2][3] - 4} 3`]],
    ['adds up equal steps', 'turnTo(positionOf(taken / EXPOSURES_A_VIEW))', 'turnTo(taken / EXPOSURES_A_VIEW * positionOf(1))', () => ['']],
    ['does not look at the check', 'cells[7] == checkOf(cells) && ', '', (plain) => everyCall(plain).map((call) => `reset ${call} garbage 1`)],
    ['keeps one slot only', 'recall(cells) == 0 ? 16 : 8', 'recall(cells) == 0 ? 8 : 8', (plain) => everyCall(plain).map((call) => `reset ${call} garbage 1`)],
    ['forgets that an edge came while it wrote', 'acknowledge();\n      up', 'if (up > 1e6) acknowledge();\n      up', (plain) => everyCall(plain).map((call) => `open ${call} 3`)],
    ['takes a flag that stood after a reset for an open interlock', 'for (acknowledge(); held < 3000 && buttonPressed() && !interlockClosed(); acknowledge())', 'while (held < 3000 && buttonPressed() && !interlockClosed())', (plain) => [`reset ${plain.recorded[2] + 5} stuck ${plain.recorded[2] + 5}`]],
    ['waits for nobody', 'while (down < PRESS) {', 'while (false) {', () => ['']],
    ['does not rest', 'hold(REST) && ', '', () => ['']],
  ])('%s', async (what, from, to, scenarios) => {
    const listing = controllerListing(small, quick);
    expect(listing).toContain(from);
    const name = `spoilt-${what.replaceAll(' ', '-')}`;
    await forBench(name, listing.replace(from, to), 144);
    const [plain] = await bench('small', ['']);
    const tries = scenarios(plain);
    const told = await bench(name, tries);
    const views = runSheet(small, quick).frames.filter(({ kind }) => kind === 'view');
    const seen = faults('small', plain, tries, told, tries[0].startsWith('reset') ? 'reset' : 'open');
    const early = told.flatMap(({ beams }) => beams.slice(1).filter(([, , gap]) => gap < 1000 * Math.min(...views.slice(1).map(({ restBefore }) => restBefore))));
    expect(seen.length + early.length).toBeGreaterThan(0);
  });
});

describe('on a simulated ATmega328P, cycle by cycle (simavr)', () => {
  interface Chip { whole: [place: number, us: number][]; cut: [place: number, us: number][]; beforePress: number; stillAt: number; answered: number; unasked: number; shut: number; afterEnd: number }
  const chip = async (scenario: string) => {
    const lines = (await run(join(folder, 'chip'), [join(folder, 'chip.elf'), '144', scenario, '20000'])).trimEnd().split('\n');
    return JSON.parse(lines[lines.length - 1]) as Chip;
  };
  const all = wanted('small');
  beforeAll(async () => {
    requireTools();
    writeFileSync(join(folder, 'chip.cpp'), controllerListing(chipPlan, chipTimes));
    await forChip(join(folder, 'chip.cpp'), join(folder, 'chip.elf'));
    await run('gcc', ['-O2', join(here, 'chip.c'), '-o', join(folder, 'chip'), '-lsimavr']).catch((error: Error) => {
      throw new Error(`The simulator of the chip could not be compiled: install libsimavr-dev (Debian's name; npm test does so where it may). ${error.message}`);
    });
  });
  test.each<[string, frames: number[], cut: number[], still: number]>([
    ['plain', all, [], 0],
    ['open', all, [all[1]], 1],
    ['glitch', all, [], 2],
    ['reset', all, [all[1]], 1],
  ])('%s: exposures of 20 ms at the places of the step table, and none that nobody asked for', async (scenario, frames, cut, still) => {
    const told = await chip(scenario);
    expect(told.whole.map(([place]) => place % 144)).toEqual(frames);
    told.whole.forEach(([, us]) => expect(Math.abs(us - 20_000)).toBeLessThan(20));
    expect(told.cut.map(([place]) => place % 144)).toEqual(cut);
    expect(told).toMatchObject({ beforePress: 0, stillAt: still, unasked: 0, shut: 0, afterEnd: 0 });
    // The request falls within 10 µs of the interlock's opening.
    if (scenario === 'open') expect(told.answered).toBeGreaterThanOrEqual(0);
    if (scenario === 'open') expect(told.answered).toBeLessThan(10);
  });
});

test.each<[string, XrayPlan, string]>([
  ['no stage', { ...capsule, stage: undefined }, 'stage is missing from the plan'],
  ['an exposure of less than a ms', { ...capsule, exposure: { seconds: 0.0004 } }, 'exposure.seconds is 0.0004'],
  ['more views than microsteps', { ...capsule, views: { count: 5000 } }, '5000 views are more than the stage has places for'],
  ['fractions beyond 64 bits', { ...capsule, views: { count: 6007, turn: 359.999_999 }, stage: { fullSteps: 99_991, microsteps: 1021, gear: { motor: 99_989, table: 99_971 } } }, 'too fine for 64-bit arithmetic'],
])('%s is refused in a sentence', async (_, plan, words) => expect(await refusal(() => controllerListing(plan))).toContain(words));
