/** The demo scans that ship with the book: every folder of datasets/ that has a scan file of line integrals. */
import type { GivenFile } from './receive.ts';

const scans = import.meta.glob<string>('../../../datasets/*/scan.json', { query: '?raw', import: 'default', eager: true });
const numbers = import.meta.glob<string>('../../../datasets/*/*.npy', { query: '?url', import: 'default', eager: true });

export interface Sample {
  readonly id: string;
  readonly title: string;
  readonly files: () => GivenFile[];
}

export const samples: readonly Sample[] = Object.entries(scans).filter(([, text]) => text.includes('"line-integrals"')).map(([path, text]) => {
  const folder = path.slice(0, path.lastIndexOf('/') + 1);
  const id = folder.split('/').at(-2)!;
  return {
    id, title: titleOf(text) ?? id,
    files: () => [textFile('scan.json', text), ...Object.entries(numbers).filter(([at]) => at.startsWith(folder)).map(([at, url]) => fetched(at.slice(folder.length), url))],
  };
});

function titleOf(text: string): string | undefined {
  try {
    return (JSON.parse(text) as { title?: string }).title;
  } catch {
    return undefined;
  }
}

function textFile(name: string, text: string): GivenFile {
  const bytes = new TextEncoder().encode(text);
  return { name, size: bytes.length, bytes: async () => bytes };
}

function fetched(name: string, url: string): GivenFile {
  return {
    name, size: 1,
    bytes: async () => {
      const reply = await fetch(url);
      if (!reply.ok) throw new Error(`${url}: ${reply.status}`);
      return new Uint8Array(await reply.arrayBuffer());
    },
  };
}
