/** The box under an exercise: marks what is typed and keeps it in this browser. One small element serves every exercise of the book. */
import { markAnswer, sayings, type Mark, type Marking } from './mark.ts';

const prefix = 'answer:';

export class AnswerBox extends HTMLElement {
  connectedCallback(): void {
    const marking: Marking = JSON.parse(this.dataset.marking!);
    const key = prefix + this.dataset.exercise;
    const input = this.querySelector('input')!;
    const says = this.querySelector('.answer-says')!;
    const mistakes = [...this.querySelectorAll<HTMLTemplateElement>('template[data-mistake]')];

    const mark = () => show(markAnswer(marking, input.value));
    const show = (mark: Mark) => {
      this.dataset.verdict = mark.verdict;
      input.setAttribute('aria-invalid', String(mark.verdict === 'unreadable'));
      if (mark.verdict === 'mistake') says.replaceChildren('Not yet. ', mistakes[mark.mistake].content.cloneNode(true));
      else says.textContent = sayings[mark.verdict];
    };

    this.querySelector('form')!.addEventListener('submit', (event) => {
      event.preventDefault();
      mark();
      keep(key, input.value);
    });
    // A changed answer is an unmarked one.
    input.addEventListener('input', () => { delete this.dataset.verdict; says.textContent = ''; });

    input.value = kept(key);
    if (input.value) mark();
  }
}

/** Forgets the answers of one chapter. */
export function forgetAnswers(chapter: string): void {
  try {
    for (const key of Object.keys(localStorage)) if (key.startsWith(`${prefix}${chapter}/`)) localStorage.removeItem(key);
  } catch { /* storage refused: there is nothing to forget */ }
}

function keep(key: string, text: string): void {
  try {
    if (text.trim()) localStorage.setItem(key, text); else localStorage.removeItem(key);
  } catch { /* storage refused or full: the answer lasts as long as the page */ }
}

function kept(key: string): string {
  try { return localStorage.getItem(key) ?? ''; } catch { return ''; }
}
