/** The exercises of every chapter, and of a page of the back matter that has some, by the slug, in the order in which the text asks them. */
import { chapters } from '../book.ts';
import type { ExerciseDefinition } from './definition.ts';

const modules = import.meta.glob<{ exercises: readonly ExerciseDefinition[] }>('../../../chapters/*/exercises.ts');

export interface NumberedExercise extends ExerciseDefinition {
  /** 'Exercise 3.2' is '3.2'; in the back matter, whose pages have no number, 'Exercise 2' is '2'. */
  readonly number: string;
  readonly chapter: string;
}

/** Slugs of the chapters and pages that have exercises. */
export const chaptersWithExercises = Object.keys(modules).map(slugOf);

export async function exercisesOf(slug: string): Promise<NumberedExercise[]> {
  const path = Object.keys(modules).find((each) => slugOf(each) === slug);
  const chapter = chapters.find((each) => each.slug === slug);
  if (!path || (!chapter && isNumbered(path))) throw new Error(`There are no exercises for the chapter “${slug}”: chapters/NN-${slug}/exercises.ts is missing.`);
  return (await modules[path]()).exercises.map((exercise, index) => ({ ...exercise, chapter: slug, number: chapter ? `${chapter.number}.${index + 1}` : String(index + 1) }));
}

/** One exercise by 'slug/id'; throws where there is none. */
export async function exercise(name: string): Promise<NumberedExercise> {
  const [slug, id] = name.split('/');
  const found = (await exercisesOf(slug)).find((each) => each.id === id);
  if (!found) throw new Error(`The text sets the exercise “${name}”, which chapters/NN-${slug}/exercises.ts does not have.`);
  return found;
}

function slugOf(path: string): string {
  return path.replace(/^.*\/(?:\d\d-)?([^/]+)\/exercises\.ts$/, '$1');
}

/** A chapter's folder begins with its number, that of a page of the back matter does not. */
function isNumbered(path: string): boolean {
  return /\/\d\d-[^/]+\/exercises\.ts$/.test(path);
}
