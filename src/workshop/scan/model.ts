/**
 * The sheet of "Your own scan" as plain data, and everything that may happen to it as pure functions from sheet to sheet.
 * Nothing here draws, waits or stores; the views show a sheet, the worker makes its slice, keep.ts puts it away.
 */
import type { Image, Scan, Table2D, WindowName } from '../../lib/index.ts';
import { guessOrientation } from '../../lib/index.ts';
import { shortTitles, type MethodWish } from '../method.ts';
import { fitted, type Placement } from './compare.ts';
import { guessBright, guessNumbers, guessTurn } from './guess.ts';
import { lineIntegrals } from './prepare.ts';
import { scanOf, takenFrom } from './scanfile.ts';
import { usualGrid } from './grid.ts';
import { counted, figure } from './words.ts';

/** 1. The numbers as they were read. */
export interface Brought {
  readonly name: string;
  /** The scan file that came with them. */
  readonly scanName?: string;
  /** The folder of datasets/, when it is one of ours. */
  readonly sample?: string;
  readonly pages: readonly Table2D[];
  readonly page: number;
  /** Names of what else was dropped and not needed. */
  readonly unused: readonly string[];
}

export type Angles = { readonly kind: 'even'; readonly start: number; readonly step: number } | { readonly kind: 'list'; readonly list: readonly number[] };

/** 2. How they were taken: mm and degrees, as in the scan file. */
export interface Taken {
  readonly title: string;
  readonly viewsIn: 'rows' | 'columns';
  readonly numbers: 'line-integrals' | 'brightness';
  /** Brightness with nothing in the way. */
  readonly bright: number;
  /** The number that stands for a line integral of 1. */
  readonly unit: number;
  readonly beam: 'parallel' | 'fan';
  readonly sourceToAxis: number;
  readonly sourceToDetector: number;
  readonly pitch: number;
  readonly axisOffset: number;
  readonly mirrored: boolean;
  readonly angles: Angles;
  readonly turn: 'counterclockwise' | 'clockwise';
}

/** Why each of the answers is what it is, until the reader gives their own. */
export type Reasons = Readonly<Partial<Record<keyof Taken | 'grid', string>>>;

/** 3. The picture that is wanted. */
export interface Recipe {
  /** An iterative method; filtered backprojection, with window and cut-off, when left out. */
  readonly by?: MethodWish;
  readonly window: WindowName | 'formula';
  readonly formula: string;
  readonly cutoff: number;
  readonly size: number;
  readonly pixelSize: number;
  readonly centre: readonly [x: number, y: number];
}

/** A slice remembers everything that it was made from, so that its scan file can be written later. */
export interface Slice {
  readonly image: Image;
  readonly taken: Taken;
  readonly recipe: Recipe;
  readonly page: number;
  readonly seconds: number;
  /** Who made it and how it went, in words. */
  readonly how?: string;
}

export type Scaling = 'as-it-is' | 'fitted' | 'own';

/** 4. What lies beside the slice. */
export type Beside =
  | { readonly kind: 'slice'; readonly slice: Slice }
  | { readonly kind: 'picture'; readonly name: string; readonly table: Table2D; readonly placement: Placement; readonly scaling: Scaling };

export interface Greys { readonly low: number; readonly high: number }

export interface Line { readonly from: readonly [number, number]; readonly to: readonly [number, number] }

/** How it is looked at. */
export interface Look {
  readonly greys?: Greys;
  readonly line?: Line;
}

/** Where on the sheet something went wrong. */
export type Place = 'brought' | 'slice' | 'beside' | 'away';

export interface Sheet {
  readonly brought?: Brought;
  readonly taken?: Taken;
  readonly reasons: Reasons;
  readonly recipe: Recipe;
  readonly slice?: Slice;
  readonly beside?: Beside;
  readonly look: Look;
  readonly complaints: Readonly<Partial<Record<Place, string>>>;
}

export const emptySheet: Sheet = {
  reasons: {},
  recipe: { window: 'ramp', formula: '0.5 + 0.5 * cos(pi * f / fc)', cutoff: 1, size: 256, pixelSize: 1, centre: [0, 0] },
  look: {},
  complaints: {},
};

/** A scan laid on the sheet. Old slices go; a picture brought for comparison stays. */
export function bring(sheet: Sheet, brought: Brought, scan?: Scan): Sheet {
  const table = brought.pages[brought.page];
  const known = scan ? takenFrom(scan, brought.scanName ?? 'the scan file') : undefined;
  const viewsIn = known ? { viewsIn: 'rows' as const } : guessedOrientation(table);
  const guessed = guessTaken(table, viewsIn.viewsIn);
  const taken: Taken = { ...guessed.taken, title: titleOf(brought.name), ...known?.taken };
  const reasons: Reasons = known ? {} : { ...guessed.reasons, ...('why' in viewsIn ? { viewsIn: viewsIn.why } : {}) };
  const beside = sheet.beside?.kind === 'picture' ? sheet.beside : undefined;
  const laid: Sheet = { ...sheet, brought, taken, reasons, slice: undefined, beside, look: {}, complaints: {}, recipe: { ...sheet.recipe, centre: [0, 0] } };
  if (known?.recipe) {
    const given = known.recipe;
    const whole = given.size !== undefined && given.pixelSize !== undefined;
    const grid = whole ? {} : usualGrid(taken, table);
    return { ...laid, recipe: { ...laid.recipe, cutoff: 1, ...grid, ...given }, reasons: { ...reasons, grid: whole ? undefined : FILLS } };
  }
  return withUsualGrid({ ...laid, reasons: { ...reasons, grid: FILLS } });
}

/** Answers to question 2, the reader's own. What hangs on them is guessed again. */
export function answer(sheet: Sheet, changes: Partial<Taken>): Sheet {
  if (!sheet.taken || !sheet.brought) return sheet;
  const table = sheet.brought.pages[sheet.brought.page];
  let taken: Taken = { ...sheet.taken, ...changes };
  let reasons: Reasons = { ...sheet.reasons };
  for (const key of Object.keys(changes) as (keyof Taken)[]) reasons = { ...reasons, [key]: undefined };
  if (changes.viewsIn && changes.viewsIn !== sheet.taken.viewsIn) {
    const again = guessTaken(table, changes.viewsIn);
    taken = { ...taken, angles: again.taken.angles };
    reasons = { ...reasons, angles: again.reasons.angles };
  }
  if (changes.numbers === 'brightness' && changes.bright === undefined && !(sheet.taken.bright > 0)) {
    const bright = guessBright(table);
    taken = { ...taken, bright: bright.value };
    reasons = { ...reasons, bright: `Guessed: ${bright.why}` };
  }
  return withUsualGrid({ ...sheet, taken, reasons });
}

/** Another page of a file of many. */
export function turnPage(sheet: Sheet, page: number): Sheet {
  if (!sheet.brought || !sheet.brought.pages[page]) return sheet;
  return withUsualGrid({ ...sheet, brought: { ...sheet.brought, page } });
}

/** Answers to question 3. A size or pixel of the reader's own is not changed behind their back any more. */
export function wish(sheet: Sheet, changes: Partial<Recipe>): Sheet {
  const own = changes.size !== undefined || changes.pixelSize !== undefined;
  return { ...sheet, recipe: { ...sheet.recipe, ...changes }, reasons: own ? { ...sheet.reasons, grid: undefined } : sheet.reasons, complaints: { ...sheet.complaints, slice: undefined } };
}

/** The picture that fills the field, again. */
export function fillField(sheet: Sheet): Sheet {
  return withUsualGrid({ ...sheet, recipe: { ...sheet.recipe, centre: [0, 0] }, reasons: { ...sheet.reasons, grid: FILLS } });
}

/** A slice came back from the worker. */
export function developed(sheet: Sheet, slice: Slice): Sheet {
  return refitted({ ...sheet, slice, look: { line: sheet.look.line, greys: sheet.look.greys }, complaints: { ...sheet.complaints, slice: undefined } });
}

/** The slice moved to the second film, to be compared with the next one. */
export function layAside(sheet: Sheet): Sheet {
  return sheet.slice ? { ...sheet, beside: { kind: 'slice', slice: sheet.slice } } : sheet;
}

/** A picture of the reader's beside the slice: whole greys are fitted to it, broken ones are believed to be 1/mm. */
export function layPicture(sheet: Sheet, name: string, table: Table2D): Sheet {
  const image = sheet.slice?.image;
  const side = image ? image.pixelSize * Math.max(image.width, image.height) : Math.max(table.columns, table.rows);
  const placement: Placement = { pixelSize: side / Math.max(table.columns, table.rows), turns: 0, flipped: false, slope: 1, intercept: 0 };
  const scaling: Scaling = table.data.every(Number.isInteger) ? 'fitted' : 'as-it-is';
  return refitted({ ...sheet, beside: { kind: 'picture', name, table, placement, scaling }, complaints: { ...sheet.complaints, beside: undefined } });
}

/** Lay the picture otherwise: another pixel size, turned, mirrored, or on another scale. */
export function movePicture(sheet: Sheet, changes: Partial<Placement> & { readonly scaling?: Scaling }): Sheet {
  if (sheet.beside?.kind !== 'picture') return sheet;
  const { scaling: asked, ...moved } = changes;
  const own = moved.slope !== undefined || moved.intercept !== undefined;
  const scaling = asked ?? (own ? 'own' : sheet.beside.scaling);
  const placement = { ...sheet.beside.placement, ...(scaling === 'as-it-is' ? { slope: 1, intercept: 0 } : {}), ...moved };
  return refitted({ ...sheet, beside: { ...sheet.beside, placement, scaling } });
}

export function clearBeside(sheet: Sheet): Sheet {
  return { ...sheet, beside: undefined, complaints: { ...sheet.complaints, beside: undefined } };
}

export function lookAt(sheet: Sheet, look: Partial<Look>): Sheet {
  return { ...sheet, look: { ...sheet.look, ...look } };
}

/** One sentence beside the place; everything else stays as it was. */
export function complain(sheet: Sheet, place: Place, sentence: string | undefined): Sheet {
  return { ...sheet, complaints: { ...sheet.complaints, [place]: sentence } };
}

/** Has anything been changed since the slice was made? */
export function isStale({ slice, taken, recipe, brought }: Sheet): boolean {
  return slice !== undefined && (JSON.stringify([slice.taken, slice.recipe, slice.page]) !== JSON.stringify([taken, recipe, brought?.page]));
}

/** Rows and columns of the sinogram as the answers have it. */
export function shape(table: Table2D, taken: Taken): { views: number; detectors: number } {
  return taken.viewsIn === 'rows' ? { views: table.rows, detectors: table.columns } : { views: table.columns, detectors: table.rows };
}

/** The scan as its file would say it. */
export function scanOfSheet(sheet: Sheet): Scan | undefined {
  if (!sheet.brought || !sheet.taken) return undefined;
  const table = sheet.brought.pages[sheet.brought.page];
  const { views, detectors } = shape(table, sheet.taken);
  return scanOf(sheet.taken, sheet.recipe, views, detectors);
}

const FILLS = 'Guessed: as many pixels as the detector has cells, over the whole field';

function withUsualGrid(sheet: Sheet): Sheet {
  if (!sheet.reasons.grid || !sheet.brought || !sheet.taken) return sheet;
  return { ...sheet, recipe: { ...sheet.recipe, ...usualGrid(sheet.taken, sheet.brought.pages[sheet.brought.page]) } };
}

function refitted(sheet: Sheet): Sheet {
  const { beside, slice } = sheet;
  if (beside?.kind !== 'picture' || beside.scaling !== 'fitted' || !slice) return sheet;
  const { slope, intercept } = fitted(beside.table, beside.placement, slice.image);
  return Number.isFinite(slope) && Number.isFinite(intercept) ? { ...sheet, beside: { ...beside, placement: { ...beside.placement, slope, intercept } } } : sheet;
}

function guessedOrientation(table: Table2D): { viewsIn: 'rows' | 'columns'; why: string } {
  const { views, sure } = guessOrientation(dark(table));
  const why = sure > 0.5
    ? `Guessed: read so, every view holds about as much shadow as the next, and its ends are empty`
    : `Hardly more than a toss-up: a small dense part must draw a wave from the top of the picture to the bottom`;
  return { viewsIn: views, why };
}

/** The numbers so that the object is what stands out: brightness, which is highest around it, turned over. */
function dark(table: Table2D): Table2D {
  const { rows, columns, data } = table;
  let rim = 0, all = 0, most = -Infinity;
  for (let k = 0; k < data.length; k++) {
    const row = Math.floor(k / columns), column = k % columns;
    all += data[k];
    if (data[k] > most) most = data[k];
    if (row === 0 || column === 0 || row === rows - 1 || column === columns - 1) rim += data[k];
  }
  const bright = rim / (2 * (rows + columns) - 4) > all / data.length;
  return bright ? { rows, columns, data: data.map((value) => most - value) } : table;
}

function guessTaken(table: Table2D, viewsIn: 'rows' | 'columns'): { taken: Taken; reasons: Reasons } {
  const upright = lineIntegrals(table, { viewsIn, numbers: 'line-integrals', unit: 1, bright: 1 });
  const numbers = guessNumbers(upright), bright = guessBright(upright), turn = guessTurn(upright);
  const guessed = (why: string) => `Guessed: ${why}`;
  return {
    taken: {
      title: '', viewsIn, numbers: numbers.value, bright: bright.value > 0 ? bright.value : 1, unit: 1,
      beam: 'parallel', sourceToAxis: 4 * upright.columns, sourceToDetector: 6 * upright.columns, pitch: 1, axisOffset: 0, mirrored: false,
      angles: { kind: 'even', start: 0, step: turn.value.step }, turn: 'counterclockwise',
    },
    reasons: {
      numbers: guessed(numbers.why), bright: guessed(bright.why), angles: guessed(turn.why),
      beam: guessed('the numbers do not tell; parallel is the simplest'),
      pitch: guessed('the numbers do not tell; 1 mm counts lengths in cells'),
      sourceToAxis: 'A stand-in until you measure it', sourceToDetector: 'A stand-in until you measure it',
    },
  };
}

const titleOf = (name: string) => name.slice(name.lastIndexOf('/') + 1).replace(/\.[^.]+$/, '');

const windowTitles: Readonly<Record<WindowName, string>> = { none: 'unfiltered', ramp: 'ramp', 'shepp-logan': 'Shepp–Logan', cosine: 'cosine', hann: 'Hann' };

/** How a slice was made, for the line above its film. */
export function summary({ recipe, taken }: Slice): string {
  const { by } = recipe;
  const filter = by ? `${shortTitles[by.method]}, ${counted(by.iterations, 'iteration')}` : recipe.window === 'formula' ? `window ${recipe.formula}` : windowTitles[recipe.window];
  const cut = !by && recipe.cutoff < 1 ? `, cut off at ${figure(recipe.cutoff)} of the Nyquist frequency` : '';
  const off = taken.axisOffset === 0 ? '' : `, axis at ${figure(taken.axisOffset)} mm`;
  return `${filter}${cut}; ${recipe.size} × ${recipe.size} pixels of ${figure(recipe.pixelSize)} mm${off}`;
}
