import { extname, dirname, isAbsolute, join } from 'node:path';
import {
  BadInput, derivePlan, planDose, readNrrd, readPlan, rehearseSteps, run, windowNames, writeNrrd, writePlan, writePng, type Derived, type Plan, type Rehearsal, type Volume, type WindowName,
} from '../lib/index.ts';
import type { Command } from './command.ts';
import { engineFor } from './engine.ts';
import { checkOutput, readBytes, writeWhole } from './files.ts';
import { clearProgress, figure, listing, printJson, say, showProgress } from './output.ts';

export const rehearse: Command = {
  name: 'rehearse',
  summary: 'what a planned scan would give: its figures, and a simulated scan beside them',
  usage: '<plan.json> [--out <folder>] [--size 160] [--window ramp] [--seed 1] [--engine auto|gpu|simd|plain] [--json]',
  details: `
The plan file says what is to be scanned, with which tube, screen, camera and stage, or
with which lamp in visible light; src/lib/files/plan.schema.json describes it. Every
figure that follows from it is worked out; then photographs are simulated with the noise, the blur and the steps of grey that it implies,
and go the way of real ones to a volume, on which contrast, resolution and noise are measured. Scattered X-rays, glare and faults of rigs are
not in it: a real scan is worse. Doses are estimates, and no figure says that anything is safe.
  --out      a folder for rehearsal.nrrd (the volume), some of the photographs as PNG, and figures.json
  --size     voxels along the longest edge of the volume, 16 to 512; the photographs are binned to suit it
  --window   ${windowNames.filter((name) => name !== 'none').join(', ')}
  --seed     a whole number: the same gives the same noise
  --engine   where the volumes are made, as slices reconstruct has it`,
  files: ['The plan file'],
  options: ['out', 'size', 'window', 'seed', 'engine'],
  run: async ({ files: [planPath], options, json, signal }) => {
    const size = wholeNumber(options.size ?? '160', '--size', 16, 512), seed = wholeNumber(options.seed ?? '1', '--seed', 0, 2 ** 31 - 1);
    const window = (options.window ?? 'ramp') as WindowName;
    if (!windowNames.includes(window) || window === 'none') throw new BadInput(`--window is ${window}: it should be ${windowNames.filter((name) => name !== 'none').join(', ')}.`);
    const plan = inFile(planPath, () => readPlan(new TextDecoder().decode(readBytes(planPath))));
    const volume = await objectOf(plan, planPath);
    const out = options.out;
    if (out !== undefined) for (const name of ['rehearsal.nrrd', 'figures.json']) checkOutput(join(out, name), [planPath]);

    const filter = { window };
    const given = { filter, ...(volume && { volume }) };
    const derived = inFile(planPath, () => derivePlan(plan, given));
    const engine = await engineFor(options.engine ?? 'auto', 2 * size ** 3 * plan.views.count, 'volumes', signal);
    const begun = performance.now();
    const rehearsal = await run(rehearseSteps(plan, { ...given, size, seed, engine }), { signal, progress: (fraction) => showProgress('Rehearsing', fraction) })
      .catch((error) => { throw error instanceof BadInput ? new BadInput(`${planPath}: ${error.message}`) : error; })
      .finally(() => {
        clearProgress();
        engine.close();
      });
    signal.throwIfAborted();
    const seconds = (performance.now() - begun) / 1000;
    const result = summary(plan, planPath, derived, rehearsal, { window, seed, seconds });
    for (const sentence of result.warnings) say(`Warning: ${sentence}`);
    if (out !== undefined) {
      writeWhole(join(out, 'rehearsal.nrrd'), writeNrrd(rehearsal.volume, plan.title ?? 'A rehearsed scan'));
      for (const { view, photograph } of rehearsal.photographs) {
        const { width, height, data } = photograph;
        const bits = photograph.bits > 8 ? 16 : 8;
        const full = 2 ** bits - 1;
        writeWhole(join(out, `view-${String(view + 1).padStart(3, '0')}.png`), await writePng(width, height, data.map((value) => full * value), bits));
      }
      writeWhole(join(out, 'plan.json'), new TextEncoder().encode(writePlan(plan)));
      writeWhole(join(out, 'figures.json'), new TextEncoder().encode(`${JSON.stringify(result, null, 2)}\n`));
    }
    if (json) printJson({ ...result, ...(out !== undefined && { out }) });
    else process.stdout.write(inWords(derived, rehearsal, result, out));
    return 0;
  },
};

interface How { readonly window: string; readonly seed: number; readonly seconds: number }

/** All that is told with --json, and written to figures.json. */
function summary(plan: Plan, planPath: string, derived: Derived, { volume, geometry, bin, figures, report }: Rehearsal, { window, seed, seconds }: How) {
  const find = (key: string) => derived.find((each) => each.key === key);
  const dose = plan.lamp ? undefined : planDose(plan);
  const range = (key: string) => find(key)?.parts;
  return {
    command: 'rehearse', plan: planPath, ...(plan.title !== undefined && { title: plan.title }), window, seed,
    working: { bin, columns: geometry.detectors, rows: geometry.rows, views: geometry.angles.length, width: volume.width, height: volume.height, depth: volume.depth, voxelSize: volume.voxelSize },
    contrast: figures!.parts.map(({ name, against, value, contrast, cnr }) => ({ name, against, value, contrast, cnr })),
    resolution: { unit: 'mm, and cycles/mm at a tenth of the contrast', ...figures!.resolution },
    noise: { unit: '1/mm', ...figures!.noise }, ...(figures!.streaks !== undefined && { streaks: figures!.streaks }),
    time: { unit: 's', total: find('time')?.value, rest: find('rest')?.value, says: find('time')?.sentence },
    ...(!plan.lamp && { heat: { unit: "of the tube's limit", highest: find('heat')?.value, says: (find('heat') ?? find('rest'))?.sentence } }),
    ...(plan.lamp && { care: find('lampCare')?.sentence }),
    ...(dose && { dose: { unit: 'µSv', perScan: range('dosePerScan'), perYear: range('dosePerYear'), inOpenBeam: range('doseInBeam'), caution: dose.caution } }),
    derived, saturated: figures!.saturated, steps: report.steps.filter(({ done }) => done).map(({ says }) => says),
    warnings: [...derived.filter(({ mark }) => mark === 'bad').map(({ sentence }) => sentence), ...report.warnings.map(({ says }) => says)], seconds,
  };
}

function inWords(derived: Derived, { bin, geometry, volume, figures }: Rehearsal, { seconds, title }: ReturnType<typeof summary>, out: string | undefined): string {
  const { noise, resolution, parts, streaks } = figures!;
  const both = (unit: string, { predicted, measured }: { readonly predicted: number; readonly measured?: number }) => `${figure(predicted, 3)}${unit} predicted, ${measured === undefined ? 'too thin to be measured' : `${figure(measured, 3)}${unit} measured`}`;
  const marks = { good: ' ', poor: '?', bad: '!' };
  return [
    title === undefined ? '' : `${title}\n\n`,
    'What follows from the plan (? could be better, ! cannot be so)\n',
    ...derived.map(({ mark, sentence, knob }) => `${mark ? marks[mark] : ' '} ${sentence}${knob && mark !== 'good' && mark !== undefined ? ` [${knob.key} ${knob.way}]` : ''}\n`),
    '\nRehearsed\n',
    listing([
      ['photographs', `${geometry.angles.length} of ${geometry.detectors} × ${geometry.rows} working pixels${bin > 1 ? `, ${bin} × ${bin} of the camera's each` : ''}`],
      ['volume', `${volume.width} × ${volume.height} × ${volume.depth} voxels of ${figure(volume.voxelSize)} mm${out === undefined ? '' : `, in ${join(out, 'rehearsal.nrrd')}`}`],
      ['noise', both(' 1/mm', noise)],
      ['resolution', both(' mm', { predicted: resolution.predicted.width, measured: resolution.measured.width })],
      ...(streaks === undefined ? [] : [['streaks', `${figure(streaks, 3)} 1/mm in what is empty`] as [string, string]]),
      ...parts.map(({ name, against, cnr }): [string, string] => [name, `${both('', cnr)}: contrast to noise against ${against}`]),
      ['time', `${figure(seconds, 3)} s`],
    ]),
  ].join('');
}

/** The values of an object that is a volume in a file beside the plan. */
async function objectOf({ object }: Plan, planPath: string): Promise<Volume | undefined> {
  if (object.kind !== 'volume') return undefined;
  const path = isAbsolute(object.file) ? object.file : join(dirname(planPath), object.file);
  if (extname(path).toLowerCase() !== '.nrrd') throw new BadInput(`${path}: the object of a plan is read from NRRD, attenuation in 1/mm.`);
  try {
    return await readNrrd(readBytes(path));
  } catch (error) {
    throw error instanceof BadInput && !error.message.startsWith(path) ? new BadInput(`${path}: ${error.message}`) : error;
  }
}

function wholeNumber(word: string, name: string, least: number, most: number): number {
  const value = Number(word);
  if (!Number.isInteger(value) || value < least || value > most) throw new BadInput(`${name} is ${word}: it should be a whole number from ${least} to ${most.toLocaleString('en-GB')}.`);
  return value;
}

/** Puts the name of the file before the sentence about what is in it. */
function inFile<T>(name: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    throw (error instanceof BadInput || error instanceof RangeError) && !error.message.startsWith(name) ? new BadInput(`${name}: ${error.message}`) : error;
  }
}
