/** Short Markdown with $math$ to HTML, when the book is built: exercises and glossary entries. */
import { createMarkdownProcessor } from '@astrojs/markdown-remark';
import { mathPlugins } from '../../layouts/build/math.ts';

let processor: ReturnType<typeof createMarkdownProcessor> | undefined;

/** Paragraphs and lists as they come. */
export async function markdown(text: string): Promise<string> {
  processor ??= createMarkdownProcessor({ ...mathPlugins, syntaxHighlight: false } as Parameters<typeof createMarkdownProcessor>[0]);
  return (await (await processor).render(text)).code;
}

/** One paragraph without its <p>, to stand inside a line. */
export async function inlineMarkdown(text: string): Promise<string> {
  return (await markdown(text)).trim().replace(/^<p>([\s\S]*)<\/p>$/, '$1');
}
