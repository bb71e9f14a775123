/** The search dialog's work: words in, pages and sections out, best first. */
import { fromRoot } from './from-root.ts';

interface Found { url: string; meta: { title: string }; excerpt: string; sub_results: { title: string; url: string; excerpt: string }[] }
interface Index {
  options(options: { baseUrl: string; excerptLength: number }): Promise<void>;
  init(): Promise<void>;
  debouncedSearch(words: string): Promise<{ results: { data(): Promise<Found> }[] } | null>;
}

const shown = 12;
let index: Promise<Index> | undefined;

export async function startSearch(dialog: HTMLDialogElement): Promise<void> {
  const input = dialog.querySelector('input')!;
  const state = dialog.querySelector('[role=status]')!;
  const list = dialog.querySelector('ol')!;
  input.focus();
  if (index) return;
  try {
    await (index = load());
  } catch {
    index = undefined;
    state.textContent = 'The search index is not here. It is made when the book is built: npm run build.';
    return;
  }
  input.addEventListener('input', async () => {
    const words = input.value.trim();
    if (!words) { list.replaceChildren(); state.textContent = ''; return; }
    const answer = await (await index!).debouncedSearch(words);
    if (!answer || input.value.trim() !== words) return; // a newer search is under way
    const pages = (await Promise.all(answer.results.map((result) => result.data()))).filter((page) => means(page, words));
    list.replaceChildren(...pages.slice(0, shown).map(entry));
    const count = pages.length;
    state.textContent = count === 0 ? `Nothing in the book has “${words}”.` : `${count} ${count === 1 ? 'page' : 'pages'}${count > shown ? `, the first ${shown} shown` : ''}`;
  });
  dialog.addEventListener('keydown', (event) => step(event, dialog));
  input.dispatchEvent(new Event('input'));
}

async function load(): Promise<Index> {
  const address = fromRoot('pagefind/pagefind.js');
  const pagefind = await import(/* @vite-ignore */ address) as Index;
  await pagefind.options({ baseUrl: fromRoot(''), excerptLength: 24 });
  await pagefind.init();
  return pagefind;
}

/** The index falls back on ever shorter beginnings of a word that it does not know; a page counts where four letters still agree. */
function means(page: Found, words: string): boolean {
  const marked = [...page.excerpt.matchAll(/<mark>(.*?)<\/mark>/g)].map((match) => match[1].toLowerCase());
  return words.toLowerCase().split(/\s+/).some((word) => marked.some((mark) => mark.startsWith(word.slice(0, 4))));
}

/** One page that was found, with the sections of it where the words stand. */
function entry(page: Found): HTMLLIElement {
  const item = document.createElement('li');
  item.append(link(page.url, page.meta.title), passage(page.excerpt));
  const sections = page.sub_results.filter((section) => section.url !== page.url).slice(0, 3);
  if (sections.length > 0) {
    const list = item.appendChild(document.createElement('ul'));
    for (const section of sections) list.appendChild(document.createElement('li')).append(link(section.url, section.title));
  }
  return item;
}

function link(address: string, text: string): HTMLAnchorElement {
  const anchor = document.createElement('a');
  anchor.href = address;
  anchor.textContent = text;
  anchor.addEventListener('click', () => anchor.closest('dialog')?.close()); // the place may be on this very page
  return anchor;
}

/** The index gives the passage as text with the words found in <mark>; everything else in it is escaped already. */
function passage(excerpt: string): HTMLParagraphElement {
  const paragraph = document.createElement('p');
  paragraph.innerHTML = excerpt;
  return paragraph;
}

/** Arrow keys walk from the box through the results and back; Escape closes at once, where the box would only empty itself. */
function step(event: KeyboardEvent, dialog: HTMLDialogElement): void {
  if (event.key === 'Escape') { event.preventDefault(); dialog.close(); }
  if (event.key !== 'ArrowDown' && event.key !== 'ArrowUp') return;
  const stops = [...dialog.querySelectorAll<HTMLElement>('input, .search-results a')];
  const at = stops.indexOf(document.activeElement as HTMLElement);
  const next = stops[at + (event.key === 'ArrowDown' ? 1 : -1)];
  if (!next) return;
  event.preventDefault();
  next.focus();
}
