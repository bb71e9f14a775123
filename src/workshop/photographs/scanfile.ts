/** A roll as a scan file, and back. */
import { BadInput, compareNatural, type Hardening, type Scan } from '../../lib/index.ts';
import { methodKeys, wishFrom } from '../method.ts';
import { anglesOf, firstSize, framesOf, viewsOf, type Frame, type LightPlan, type Roll } from './model.ts';

/** axis: what was found, where the roll does not give it. Needs a roll with photographs whose size is known. */
export function scanOf(roll: Roll, axis: { readonly offset?: number; readonly tilt?: number } = {}): Scan {
  const { title, rig, light, volume, size } = roll;
  const angles = anglesOf(roll);
  const even = angles.every((angle, k) => Math.abs(angle - rig.start - k * rig.step) < 1e-6);
  const offset = roll.axis.offset ?? axis.offset, tilt = roll.axis.tilt ?? axis.tilt;
  const names = (frames: readonly Frame[]) => frames.map(({ name }) => name);
  const [views, dark, flat] = [viewsOf(roll), framesOf(roll, 'dark'), framesOf(roll, 'flat')];
  return {
    format: 'scan', version: 1,
    ...(title ? { title } : {}),
    beam: { shape: 'cone', sourceToAxis: rig.sourceToAxis, sourceToDetector: rig.sourceToDetector },
    detector: {
      pitch: rig.pitch, columns: size!.width, rows: size!.height,
      ...(offset === undefined ? {} : { axisOffset: offset }), ...(tilt === undefined ? {} : { tilt }), ...(rig.mirrored ? { mirrored: true } : {}),
    },
    angles: even ? { start: rig.start, step: rig.step, count: views.length } : { list: angles },
    turn: rig.turn,
    frames: {
      kind: 'photographs', files: names(views), ...(dark.length > 0 ? { dark: names(dark) } : {}), ...(flat.length > 0 ? { flat: names(flat) } : {}),
      encoding: light.encoding, ...(light.encoding === 'measured' ? { curve: light.curve } : {}), ...(light.channel === 'green' ? {} : { channel: light.channel }),
      ...(light.crop ? { crop: light.crop } : {}), ...(light.bin > 1 ? { bin: light.bin } : {}), ...(light.open ? { open: light.open } : {}),
      ...(light.glare ? { glare: light.glare } : {}), ...(light.hardening ? { hardening: bare(light.hardening) } : {}), ...(light.without.length > 0 ? { without: light.without } : {}),
    },
    reconstruction: {
      ...methodKeys(volume.by, { window: volume.window, ...(volume.window === 'formula' ? { formula: volume.formula } : {}), ...(volume.cutoff === 1 ? {} : { cutoff: volume.cutoff }) }),
      size: volume.size, ...(volume.voxelSize === undefined ? {} : { pixelSize: volume.voxelSize }),
      ...(volume.centre[0] === 0 && volume.centre[1] === 0 ? {} : { centre: volume.centre }),
    },
  };
}

const bare = ({ coefficients, energy, longest }: NonNullable<LightPlan['hardening']>): Hardening => ({ coefficients, energy, longest });

/**
 * The roll that a scan file describes. names: the photographs at hand; found by what the scan file calls them, beside it or by their last name.
 * Throws BadInput where it describes something else than a cone beam's photographs, or names one that is not there.
 */
export function rollFrom(scan: Scan, scanName: string, files: readonly { readonly name: string; readonly size: number }[], empty: Roll): { roll: Omit<Roll, 'frames'>; frames: readonly Omit<Frame, 'id'>[] } {
  const { beam, detector, angles, frames, reconstruction } = scan;
  if (frames.kind !== 'photographs') throw new BadInput(`${scanName} describes line integrals (frames.kind is "${frames.kind}"), and this page takes photographs: the page for a sinogram takes those with one row of cells.`);
  if (beam.shape !== 'cone') throw new BadInput(`${scanName} describes a ${beam.shape} beam, and photographs are of a cone beam ("shape": "cone"); for a very distant source give a large sourceToAxis.`);
  const folder = scanName.slice(0, scanName.lastIndexOf('/') + 1);
  const last = (path: string) => path.slice(path.lastIndexOf('/') + 1);
  const byName = new Map(files.map((file) => [file.name, file]));
  const byLast = new Map([...files].sort((a, b) => compareNatural(b.name, a.name)).map((file) => [last(file.name), file]));
  const missing: string[] = [];
  const of = (role: Frame['role'], list: readonly string[] = []) => list.flatMap((named): Omit<Frame, 'id'>[] => {
    const file = byName.get(folder + named.replace(/^\.\//, '')) ?? byName.get(named) ?? byLast.get(last(named));
    if (!file) { missing.push(named); return []; }
    return [{ name: file.name, bytes: file.size, role }];
  });
  const views = of('view', frames.files);
  const all = [...views, ...of('dark', frames.dark), ...of('flat', frames.flat)];
  if (missing.length > 0) throw new BadInput(`${scanName} names ${missing[0]}${missing.length > 1 ? ` and ${missing.length - 1} more` : ''}, which ${missing.length > 1 ? 'were' : 'was'} not dropped with it: drop the whole folder, or all of its files together.`);
  const { start, step, places, falling } = evenly(angles);
  const { size = firstSize, pixelSize, window = 'ramp', formula, cutoff = 1, centre = [0, 0] } = reconstruction ?? {};
  const by = reconstruction && wishFrom(reconstruction);
  const roll = {
    id: empty.id, title: scan.title ?? '',
    size: { width: detector.columns, height: detector.rows ?? 1 },
    rig: { sourceToAxis: beam.sourceToAxis, sourceToDetector: beam.sourceToDetector, pitch: detector.pitch, mirrored: detector.mirrored ?? false, turn: (scan.turn === 'clockwise') === falling ? 'counterclockwise' : 'clockwise', start, step },
    light: {
      encoding: frames.encoding, channel: frames.channel ?? 'green', bin: frames.bin ?? 1, without: frames.without ?? [],
      ...(frames.crop ? { crop: frames.crop } : {}), ...(frames.open ? { open: frames.open } : {}), ...(frames.glare ? { glare: frames.glare } : {}), ...(frames.curve ? { curve: frames.curve } : {}), ...(frames.hardening ? { hardening: frames.hardening } : {}),
    },
    axis: { ...(detector.axisOffset === undefined ? {} : { offset: detector.axisOffset }), ...(detector.tilt === undefined ? {} : { tilt: detector.tilt }) },
    volume: { ...(by ? { by } : {}), size, ...(pixelSize === undefined ? {} : { voxelSize: pixelSize }), centre, window, formula: formula ?? empty.volume.formula, cutoff },
  } satisfies Omit<Roll, 'frames'>;
  return { roll, frames: all.map((frame, k) => (places && k < views.length && places[k] !== k ? { ...frame, step: places[k] } : frame)) };
}

/** Angles as steps: a list is read as multiples of the largest step that divides all of it, to a thousandth of a degree; one that falls, as a turn the other way. */
function evenly(angles: Scan['angles']): { start: number; step: number; places?: readonly number[]; falling: boolean } {
  if (!('list' in angles)) return { start: angles.start ?? 0, step: angles.step, falling: false };
  const falling = angles.list.every((angle) => angle <= angles.list[0]) && angles.list.length > 1;
  const list = falling ? angles.list.map((angle) => 0 - angle) : angles.list;
  const offsets = list.map((angle) => Math.round((angle - list[0]) * 1000));
  const common = offsets.reduce((a, b) => divisor(a, Math.abs(b)), 0) || 1000;
  return { start: list[0] ?? 0, step: common / 1000, places: offsets.map((offset) => offset / common), falling };
}

const divisor = (a: number, b: number): number => (b === 0 ? a : divisor(b, a % b));
