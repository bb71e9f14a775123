import type { Image, Steps } from '../../lib/index.ts';
import type { Specimen, SpecimenId } from '../specimen/specimen.ts';

/** What a plate's settings are made of: one flat record, each entry driven by one control and carried in the page's address. */
export type Setting = number | string | boolean;
export type State = { readonly [name: string]: Setting };

interface AnyControl<S> {
  readonly label: string;
  /** Shown only while this holds; its setting stays in force. */
  readonly visible?: (state: S) => boolean;
  /** A sentence under the control. */
  readonly help?: string;
}

/** A number on a slider with an entry beside it. Bounds may follow other settings: view 1 to the number of views. */
export interface Range<S> extends AnyControl<S> {
  readonly kind: 'range';
  readonly min: number | ((state: S) => number);
  readonly max: number | ((state: S) => number);
  readonly step: number;
  readonly unit?: string;
  /** What the slider says of its value, unit included, where number and unit do not do. */
  readonly format?: (value: number, state: S) => string;
  /** Gives the slider a play button that moves it this many steps a second. */
  readonly play?: number;
}

/** One of a few: radio buttons up to four options, a list of choice beyond, unless `as` says otherwise. */
export interface Choice<S, V extends Setting = Setting> extends AnyControl<S> {
  readonly kind: 'choice';
  readonly options: readonly { readonly value: V; readonly label: string }[];
  readonly as?: 'radio' | 'list';
}

export interface Toggle<S> extends AnyControl<S> {
  readonly kind: 'toggle';
}

/** A line of text: a formula, a list of numbers. */
export interface Text<S> extends AnyControl<S> {
  readonly kind: 'text';
  /** Characters, 200 unless said otherwise. */
  readonly maxLength?: number;
  /** One sentence on what is wrong with the text and what would be right; nothing when it is well. */
  readonly check?: (text: string, state: S) => string | undefined;
}

/** The controls that fit a setting of type V. */
export type Control<S, V> = [V] extends [boolean] ? Toggle<S> : [V] extends [number] ? Range<S> | Choice<S, V> : [V] extends [string] ? Text<S> | Choice<S, V> : never;
export type AnyControlOf<S> = Range<S> | Choice<S> | Toggle<S> | Text<S>;

/** How fine a plate's pictures are: 128² follows a control within a frame, 256² within three. */
export const pixelsControl = { kind: 'choice', label: 'Pixels along an edge', options: [{ value: 128, label: '128' }, { value: 256, label: '256' }] } as const;

export interface Listing {
  /** Below src/lib: 'reconstruct/backproject.ts'. */
  readonly file: string;
  /** The lines between `// region name` and `// endregion`; or the function of that name with its comment; else the whole file. */
  readonly region?: string;
  readonly function?: string;
  readonly title?: string;
}

export interface Picture {
  /** Name of the file without its ending. */
  readonly name: string;
  readonly label: string;
  readonly image: { readonly width: number; readonly height: number; readonly data: ArrayLike<number> };
  /** Values that become black and white; the least and the greatest when left out. */
  readonly window?: readonly [low: number, high: number];
}

/** A table with named columns becomes CSV, an array with a shape becomes NPY. */
export type Numbers =
  | { readonly name: string; readonly label: string; readonly columns: Readonly<Record<string, ArrayLike<number>>> }
  | { readonly name: string; readonly label: string; readonly shape: readonly number[]; readonly data: Float32Array };

/** A result, or the way to it. A generator is stopped at its next yield when a newer setting arrives. */
export type Computation<R> = R | Steps<R> | Promise<R | Steps<R>>;

/** A plate's model (S is a `type`, not an `interface`): no DOM and no JSX, so that it runs in the page, in the worker, at build time and in tests alike. */
export interface PlateDefinition<S extends State, R> {
  /** The folder's name in src/widgets; also its prefix in the page's address (?ray.energy=60) and its anchor (#plate-ray). */
  readonly id: string;
  readonly title: string;
  readonly initial: S;
  /** One control for every setting, in the order in which they stand. */
  readonly controls: { readonly [K in keyof S]: Control<S, S[K]> };
  /** Objects that the plate can show, the default first. Left out: the plate has an object of its own. */
  readonly specimens?: readonly SpecimenId[];
  /** 'page' for work far below a frame (a millisecond); 'worker', the default, for the rest, which comes to the page where it proves quick. */
  readonly runs?: 'page' | 'worker';
  /** Pure. May keep parts between calls with `remember`. The specimen is there exactly when `specimens` is. */
  readonly compute: (state: S, specimen: Specimen) => Computation<R>;
  /** A coarser result in a fraction of a frame, for where compute takes longer: shown while a control moves, until the whole one is there. Undefined where compute is as quick. */
  readonly sketch?: (state: S, specimen: Specimen) => R | Steps<R> | undefined;
  /** What the plate shows, in one to three spoken sentences with numbers and units. */
  readonly describe: (state: S, result: R, specimen: Specimen) => string;
  readonly listings?: readonly Listing[];
  readonly exports?: (state: S, result: R, specimen: Specimen) => { readonly pictures?: readonly Picture[]; readonly numbers?: readonly Numbers[] };
}

export type { Image, Specimen, SpecimenId, Steps };

/** What View.tsx is given. `state` and `specimen` are those that `result` belongs to; the controls may be a frame or more ahead while work runs. */
export interface ViewProps<S extends State, R> {
  readonly state: S;
  readonly result: R;
  readonly specimen: Specimen;
  /** Changes settings, as a control would: values are put in range and on their step. */
  readonly set: (change: Partial<S>) => void;
}

/** What the frame handles: a plate of any state and result. */
export type AnyPlate = PlateDefinition<any, any>;

/** Gives the definition back; there for its types. */
export function definePlate<S extends State, R>(definition: PlateDefinition<S, R>): PlateDefinition<S, R> {
  return definition;
}
