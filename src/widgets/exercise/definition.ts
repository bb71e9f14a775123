/** What an exercise is. A chapter's exercises stand beside it in chapters/NN-slug/exercises.ts, in the order in which it asks them. */
export interface ExerciseDefinition {
  /** Unique in its chapter, lower case with hyphens: <Exercise of="shadows/half-value-layer" /> names it. */
  readonly id: string;
  /** The question, in Markdown with $math$. */
  readonly prompt: string;
  /** The right answer in `unit`, from the chapter's values module. */
  readonly answer: number;
  /** As shown after the box: 'mm', '1/mm'; '' for a bare number; '%' when the answer is a percentage (12 for 12 %). */
  readonly unit: string;
  /** How far an answer may lie from it, as a fraction of the answer (of 1 where the answer is 0). */
  readonly tolerance: number;
  /** Usual wrong answers, each computed like the answer, and what making that mistake usually means. */
  readonly wrong: readonly WrongAnswer[];
  /** Markdown with $math$; behind a fold. */
  readonly hint: string;
  /** The worked solution, Markdown with $math$; behind a fold. */
  readonly solution: string;
}

export interface WrongAnswer {
  readonly value: number;
  /** What the reader probably did, and the way on, in one or two sentences of Markdown. */
  readonly says: string;
}
