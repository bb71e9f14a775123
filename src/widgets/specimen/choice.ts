import type { SpecimenId } from './specimen.ts';

/** The reader's specimen follows them from plate to plate and from page to page: localStorage 'specimen', and an event on the window. */
const key = 'specimen';

export function chosenSpecimen(): SpecimenId | undefined {
  const linked = new URLSearchParams(location.search).get(key);
  return known(linked) ?? known(read());
}

export function chooseSpecimen(id: SpecimenId): void {
  try {
    localStorage.setItem(key, id);
  } catch {
    // A browser that keeps nothing: the choice holds on this page.
  }
  const address = new URL(location.href);
  if (address.searchParams.has(key)) {
    // A link may have named one; what is chosen now holds from here on.
    address.searchParams.set(key, id);
    history.replaceState(history.state, '', address);
  }
  dispatchEvent(new CustomEvent('specimen', { detail: id }));
}

/** Calls back with each choice made on this page or in another tab. Returns the way to stop. */
export function followSpecimen(heard: (id: SpecimenId) => void): () => void {
  const chosen = (event: Event) => heard((event as CustomEvent<SpecimenId>).detail);
  const elsewhere = (event: StorageEvent) => {
    const id = event.key === key ? known(event.newValue) : undefined;
    if (id) heard(id);
  };
  addEventListener('specimen', chosen);
  addEventListener('storage', elsewhere);
  return () => {
    removeEventListener('specimen', chosen);
    removeEventListener('storage', elsewhere);
  };
}

function known(id: string | null): SpecimenId | undefined {
  return id === 'head' || id === 'capsule' || id === 'bead' || id === 'own' ? id : undefined;
}

function read(): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}
