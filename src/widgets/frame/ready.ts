/** What a plate's view needs before it can take the place of the still picture: a graph library, say. Loaded at the reader's first move. */
const needs: (() => Promise<void>)[] = [];

export function waitFor(load: () => Promise<void>): void {
  needs.push(load);
}

export async function everythingReady(): Promise<void> {
  await Promise.all(needs.map((load) => load()));
}
