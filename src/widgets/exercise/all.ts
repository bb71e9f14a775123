/** The exercises of every chapter, by the chapter's slug, in the order in which the chapter asks them. */
import { chapters } from '../book.ts';
import type { ExerciseDefinition } from './definition.ts';

const modules = import.meta.glob<{ exercises: readonly ExerciseDefinition[] }>('../../../chapters/*/exercises.ts');

export interface NumberedExercise extends ExerciseDefinition {
  /** 'Exercise 3.2' is '3.2'. */
  readonly number: string;
  readonly chapter: string;
}

/** Slugs of the chapters that have exercises. */
export const chaptersWithExercises = Object.keys(modules).map(slugOf);

export async function exercisesOf(slug: string): Promise<NumberedExercise[]> {
  const path = Object.keys(modules).find((each) => slugOf(each) === slug);
  const chapter = chapters.find((each) => each.slug === slug);
  if (!path || !chapter) throw new Error(`There are no exercises for the chapter “${slug}”: chapters/NN-${slug}/exercises.ts is missing.`);
  return (await modules[path]()).exercises.map((exercise, index) => ({ ...exercise, chapter: slug, number: `${chapter.number}.${index + 1}` }));
}

/** One exercise by 'slug/id'; throws where there is none. */
export async function exercise(name: string): Promise<NumberedExercise> {
  const [slug, id] = name.split('/');
  const found = (await exercisesOf(slug)).find((each) => each.id === id);
  if (!found) throw new Error(`The text sets the exercise “${name}”, which chapters/NN-${slug}/exercises.ts does not have.`);
  return found;
}

function slugOf(path: string): string {
  return path.replace(/^.*\/\d\d-([^/]+)\/exercises\.ts$/, '$1');
}
