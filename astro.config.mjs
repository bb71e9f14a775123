import { unified } from '@astrojs/markdown-remark';
import mdx from '@astrojs/mdx';
import preact from '@astrojs/preact';
import { defineConfig } from 'astro/config';
import { mathPlugins } from './src/layouts/build/math.ts';
import { relativeAddresses } from './src/layouts/build/relative-addresses.ts';

export default defineConfig({
  output: 'static',
  trailingSlash: 'always',
  compressHTML: true, // spaces between words and elements stay as written
  markdown: { processor: unified(mathPlugins), syntaxHighlight: false },
  integrations: [mdx(), preact(), relativeAddresses()],
  devToolbar: { enabled: false },
  vite: {
    build: { assetsInlineLimit: 0 },
    worker: { format: 'es' },
    // Files that a script asks for lie beside it: the book works in any folder of any host.
    experimental: { renderBuiltUrl: () => ({ relative: true }) },
  },
});
