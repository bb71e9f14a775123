/** Files out of a drop or a file button, with their folder's name before theirs. */
import type { GivenFile } from './receive.ts';

/** More than this many files in a folder are not looked at. */
const MOST = 20_000;

export function givenFrom(files: Iterable<File>): GivenFile[] {
  return [...files].map((file) => given(file, file.webkitRelativePath || file.name));
}

/** Everything in the drop, folders opened. Must be called before the drop event is over: the list is emptied then. */
export function givenFromDrop(transfer: DataTransfer): Promise<GivenFile[]> {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter((entry): entry is FileSystemEntry => !!entry);
  const files = [...transfer.files];
  if (entries.length === 0) return Promise.resolve(givenFrom(files));
  return walk(entries);
}

async function walk(entries: readonly FileSystemEntry[]): Promise<GivenFile[]> {
  const found: GivenFile[] = [];
  const queue = [...entries];
  while (queue.length > 0 && found.length < MOST) {
    const entry = queue.shift()!;
    if (entry.isDirectory) queue.push(...await contents(entry as FileSystemDirectoryEntry));
    else found.push(given(await new Promise<File>((resolve, reject) => (entry as FileSystemFileEntry).file(resolve, reject)), entry.fullPath.replace(/^\//, '')));
  }
  return found;
}

async function contents(folder: FileSystemDirectoryEntry): Promise<FileSystemEntry[]> {
  const reader = folder.createReader();
  const all: FileSystemEntry[] = [];
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) => reader.readEntries(resolve, reject));
    if (some.length === 0 || all.length > MOST) return all;
    all.push(...some);
  }
}

function given(file: File, name: string): GivenFile {
  return { name, size: file.size, blob: file, bytes: async () => new Uint8Array(await file.arrayBuffer()) };
}
