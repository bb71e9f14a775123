/** The demo photographs that ship with the book: every scan file of datasets/ that names photographs. */
import type { GivenFile } from '../scan/receive.ts';

const scans = import.meta.glob<string>('../../../datasets/*/*.json', { query: '?raw', import: 'default', eager: true });
const pictures = import.meta.glob<string>('../../../datasets/*/*/*.jpg', { query: '?url', import: 'default', eager: true });

export interface Sample {
  readonly id: string;
  readonly title: string;
  readonly files: () => GivenFile[];
}

/** The usual one first. */
export const samples: readonly Sample[] = Object.entries(scans).flatMap(([path, text]) => {
  const folder = path.slice(0, path.lastIndexOf('/') + 1);
  const described = scanIn(text);
  if (described?.frames?.kind !== 'photographs') return [];
  const { files, dark = [], flat = [] } = described.frames;
  const id = `${folder.split('/').at(-2)}/${path.slice(folder.length)}`;
  return [{ id, title: described.title ?? id, files: () => [textFile(path.slice(folder.length), text), ...[...files, ...dark, ...flat].map((name) => fetched(name, pictures[folder + name]))] }];
}).sort((a, b) => Number(b.id.endsWith('/scan.json')) - Number(a.id.endsWith('/scan.json')));

type Described = { title?: string; frames?: { kind?: string; files: string[]; dark?: string[]; flat?: string[] } };

function scanIn(text: string): Described | undefined {
  try {
    return JSON.parse(text) as Described;
  } catch {
    return undefined;
  }
}

function textFile(name: string, text: string): GivenFile {
  const blob = new Blob([text]);
  return { name, size: blob.size, blob, bytes: async () => new Uint8Array(await blob.arrayBuffer()) };
}

function fetched(name: string, url: string): GivenFile {
  return {
    name, size: 0,
    bytes: async () => {
      const reply = await fetch(url);
      if (!reply.ok) throw new Error(`${url}: ${reply.status}`);
      return new Uint8Array(await reply.arrayBuffer());
    },
  };
}
