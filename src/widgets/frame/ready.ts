/** What a plate's view needs before it can take the place of the still picture: a graph library, say. Loaded at the reader's first move. */
const needs: (() => Promise<void>)[] = [];

export function waitFor(load: () => Promise<void>): void {
  needs.push(load);
}

/** Nothing when all of it is there, else the promise of it. */
export function gettingReady(): Promise<void> | undefined {
  return needs.length === 0 ? undefined : Promise.all(needs.map((load) => load())).then(() => void needs.splice(0));
}
