/** The button under exercises that forgets the answers of its chapter or page. */
import { forgetAnswers } from '../widgets/exercise/answer-box.ts';

export function watchForget(button: HTMLButtonElement | null): void {
  button?.addEventListener('click', () => {
    forgetAnswers(button.dataset.forget!);
    for (const input of document.querySelectorAll<HTMLInputElement>('answer-box input')) {
      input.value = '';
      input.dispatchEvent(new Event('input'));
    }
    button.parentElement!.querySelector('[role=status]')!.textContent = 'Forgotten.';
  });
}
