/** The reader's choice of a light or a dark page, kept in their browser; the system's choice until they make one. */
export function watchTheme(button: HTMLButtonElement): void {
  const root = document.documentElement;
  const system = matchMedia('(prefers-color-scheme: dark)');
  const dark = () => (root.dataset.theme ? root.dataset.theme === 'dark' : system.matches);
  const show = () => { button.textContent = dark() ? 'Light page' : 'Dark page'; };

  button.addEventListener('click', () => {
    const chosen = dark() ? 'light' : 'dark';
    root.dataset.theme = chosen;
    try { localStorage.setItem('page', chosen); } catch { /* storage refused: the choice lasts as long as the page */ }
    show();
  });
  system.addEventListener('change', show);
  show();
}
