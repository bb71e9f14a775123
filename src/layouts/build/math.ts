/** How the book's Markdown is read: formulas between dollars become KaTeX markup when the book is built. */
import type { UnifiedProcessorOptions } from '@astrojs/markdown-remark';
import rehypeKatex from 'rehype-katex';
import remarkMath from 'remark-math';

export const katexOptions = { strict: 'error', throwOnError: true, output: 'htmlAndMathml' } as const;

export const mathPlugins: UnifiedProcessorOptions = {
  remarkPlugins: [remarkMath],
  rehypePlugins: [[rehypeKatex, katexOptions]],
};
