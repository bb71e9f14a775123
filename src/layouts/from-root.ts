/** The full address of a file of the book, from a script in any page: fromRoot('check-values/points.json'). The book may lie in any folder of its host. */
export function fromRoot(path: string): string {
  return new URL(path, new URL(document.documentElement.dataset.root ?? '/', document.baseURI)).href;
}
