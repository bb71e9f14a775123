/** How far work had come, from 0 to 1, at a time in ms. */
export interface Mark {
  readonly at: number;
  readonly fraction: number;
}

/** How long the work will go on at the pace of the last ten seconds, in words; nothing while that cannot be told or is not worth telling. */
export function timeLeft(marks: readonly Mark[]): string {
  const last = marks.at(-1);
  const first = marks.find(({ at }) => at >= (last?.at ?? 0) - WINDOW);
  if (!last || !first || last.at - first.at < LEAST || last.fraction <= first.fraction) return '';
  const seconds = ((1 - last.fraction) * (last.at - first.at)) / (last.fraction - first.fraction) / 1000;
  if (seconds < 15) return '';
  if (seconds < 95) return `at this pace about ${10 * Math.round(seconds / 10)}\u00a0s more`;
  if (seconds < 90 * 60) return `at this pace about ${Math.round(seconds / 60)} minutes more`;
  return `at this pace about ${Math.round(seconds / 3600)} hours more`;
}

const WINDOW = 10_000, LEAST = 4_000; // ms
