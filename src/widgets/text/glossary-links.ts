/** In an explanation shown outside the glossary, links to other terms lead to the glossary page. */
export function glossaryLinks(html: string): string {
  return html.replaceAll('href="#', 'href="/glossary/#');
}
