import { glob } from 'astro/loaders';
import { z } from 'astro/zod';
import { defineCollection } from 'astro:content';

export const collections = {
  /** One MDX file a chapter: chapters/NN-slug.mdx. */
  chapters: defineCollection({
    loader: glob({ base: './chapters', pattern: '[0-9][0-9]-*.mdx', deferRender: true }),
    schema: z.strictObject({
      number: z.int().min(0),
      title: z.string(),
      slug: z.string().regex(/^[a-z0-9-]+$/),
      /** One or two sentences, under the title and in the contents. */
      summary: z.string(),
      /** What the reader can do afterwards, each beginning with a verb. */
      objectives: z.array(z.string()).min(1),
      /** Reading time with the plates and exercises. */
      minutes: z.int().positive(),
    }),
  }),
};
