import { createHash } from 'node:crypto';
import { existsSync, statSync } from 'node:fs';
import { BadInput, inWords, readSlabNote, type SlabNote, type VolumeLayout } from '../lib/index.ts';
import type { Command } from './command.ts';
import { checkOutput, readBytes, writePieces } from './files.ts';
import { readFully, withFile } from './frame-rows.ts';
import { clearProgress, figure, listing, printJson, say, showProgress } from './output.ts';
import { noteBeside } from './slab.ts';
import { endingOf, layoutFor } from './volume-file.ts';

export const join: Command = {
  name: 'join',
  summary: 'the volume out of its slabs, made by slices reconstruct --slab',
  usage: '<slab.npy|.nrrd|.tif>… --out <volume.nrrd|.npy|.tif> [--json]',
  details: `
The slabs may be given in any order, each with its note beside it (part-3.npy and part-3.json); src/lib/files/slab.schema.json describes
the note. They have to be of one scan, reconstructed in one way, all there, none twice, and as they were when they were made.
The volume is written slice by slice, whatever its size, and is there whole or not at all.
  --out   where the volume goes; the ending says the kind of file, which need not be that of the slabs`,
  files: ['A slab'],
  more: true,
  options: ['out'],
  run: async ({ files, options: { out }, json, signal }) => {
    if (out === undefined) throw new BadInput('--out is missing: it says where the volume goes, volume.nrrd say.');
    endingOf(out);
    const parts = inOrder(files.map(partOf));
    checkOutput(out, parts.flatMap(({ path }) => [path, noteBeside(path)]));
    const [{ note: { volume, title, of } }] = parts;
    const layout = layoutFor(out, volume, title);
    const engines = [...new Set(parts.map(({ note }) => note.engine))];
    const notes = engines.length > 1 ? [`Note: the slabs were made by different engines (${engines.join(', ')}), which agree to their tolerance and not to the last bit.`] : [];
    notes.forEach(say);

    const begun = performance.now();
    await writePieces(out, joined(parts, layout, signal));
    clearProgress();
    const seconds = (performance.now() - begun) / 1000;
    const { width, height, depth, voxelSize, centre } = volume;
    if (json) printJson({ command: 'join', out, slabs: of, width, height, depth, voxelSize, centre, bytes: layout.bytes, scan: parts[0].note.scan, engines, seconds, notes });
    else {
      process.stdout.write(listing([
        ['result', `${out}, ${width} × ${height} × ${depth} voxels of ${figure(voxelSize)} mm, ${inWords(layout.bytes)}`],
        ['slabs', `${of}${title ? ` of ${title}` : ''}, engine ${engines.join(', ')}`],
        ['time', `${figure(seconds, 3)} s`],
      ]));
    }
    return 0;
  },
};

interface Part { readonly path: string; readonly note: SlabNote }

function partOf(path: string): Part {
  const beside = noteBeside(path);
  if (!existsSync(path)) throw new BadInput(`${path} is not there: check the name and the folder.`);
  if (!existsSync(beside)) throw new BadInput(`${path} has no ${beside} beside it, which says which slab it is: bring it too, or make the slab again.`);
  let note: SlabNote;
  try {
    note = readSlabNote(new TextDecoder().decode(readBytes(beside)));
  } catch (error) {
    throw error instanceof BadInput && !error.message.startsWith(beside) ? new BadInput(`${beside}: ${error.message}`) : error;
  }
  const { size } = statSync(path);
  if (size !== note.file.bytes) {
    throw new BadInput(`${path} has ${size.toLocaleString('en-GB')} bytes, and by ${beside} it should have ${note.file.bytes.toLocaleString('en-GB')}: make slab ${note.slab} of ${note.of} again.`);
  }
  return { path, note };
}

/** The slabs from the lowest, once they are known to be all those of one volume. */
function inOrder(parts: readonly Part[]): Part[] {
  const [first] = parts;
  for (const part of parts) {
    if (part.note.scan !== first.note.scan) throw new BadInput(`${first.path} and ${part.path} are of different scans, or of one scan reconstructed in different ways: join the slabs of one.`);
    if (part.note.of !== first.note.of) throw new BadInput(`${first.path} is slab ${first.note.slab} of ${first.note.of} and ${part.path} is slab ${part.note.slab} of ${part.note.of}: join the slabs of one division.`);
    if (JSON.stringify(part.note.volume) !== JSON.stringify(first.note.volume)) throw new BadInput(`${first.path} and ${part.path} are of volumes that lie differently: join the slabs of one.`);
  }
  const { of } = first.note;
  const sorted: Part[] = [];
  for (const part of parts) {
    const before = sorted[part.note.slab];
    if (before) throw new BadInput(`${before.path} and ${part.path} are both slab ${part.note.slab} of ${of}: give one of them.`);
    sorted[part.note.slab] = part;
  }
  const lost = Array.from({ length: of }, (_, k) => k + 1).filter((slab) => !sorted[slab]);
  if (lost.length > 0) {
    const named = lost.length > 6 ? `${lost.slice(0, 5).join(', ')} and ${lost.length - 5} more` : lost.length > 1 ? `${lost.slice(0, -1).join(', ')} and ${lost.at(-1)}` : `${lost[0]}`;
    throw new BadInput(`${lost.length > 1 ? 'Slabs' : 'Slab'} ${named} of ${of} ${lost.length > 1 ? 'are' : 'is'} missing: slices reconstruct … --slab ${lost[0]}/${of} makes ${lost.length > 1 ? 'the first of them' : 'it'}.`);
  }
  const ordered = sorted.slice(1);
  let next = 0;
  for (const { path, note } of ordered) {
    if (note.firstSlice !== next) throw new BadInput(`${path} begins at slice ${note.firstSlice}, and slab ${note.slab} of ${of} should begin at ${next}: make it again.`);
    next = note.endSlice;
  }
  if (next !== first.note.volume.depth) throw new BadInput(`${ordered.at(-1)!.path} ends before slice ${next}, and the volume has ${first.note.volume.depth}: make it again.`);
  return ordered;
}

/** The pieces of the volume's file. Each slab is read once and, at its end, known by its hash to be what was made. */
async function* joined(parts: readonly Part[], { before }: VolumeLayout, signal: AbortSignal): AsyncGenerator<Uint8Array> {
  for (const { path, note } of parts) {
    const { firstSlice, endSlice, slab, of, volume: { width, height, depth }, file: { first, apart, sha256 } } = note;
    const values = new Uint8Array(4 * width * height);
    const hash = createHash('sha256');
    let hashed = 0;
    /** All of the file is hashed, what stands between the slices, too. */
    const readTo = (at: number, into: Uint8Array) => withFile(path, (file) => {
      const between = new Uint8Array(at - hashed);
      readFully(file, between, hashed);
      readFully(file, into, at);
      hash.update(between).update(into);
      hashed = at + into.length;
    });
    for (let slice = firstSlice; slice < endSlice; slice++) {
      readTo(first + (slice - firstSlice) * apart, values);
      yield before(slice);
      yield values;
      showProgress('Joining', (slice + 1) / depth);
      await new Promise(setImmediate); // Ctrl+C is heard here
      signal.throwIfAborted();
    }
    readTo(note.file.bytes, new Uint8Array(0));
    if (hash.digest('hex') !== sha256) throw new BadInput(`${path} is not as it was made (its SHA-256 is another than in ${noteBeside(path)}): make slab ${slab} of ${of} again.`);
  }
}
