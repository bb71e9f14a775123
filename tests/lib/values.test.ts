/** The numbers of the prose: how they are printed, and that text and values fit together. */
import { describe, expect, test } from 'vitest';
import { formatQuantity, quantityHtml, quantityText, tex } from '../../src/widgets/value/format.ts';
import { slugs, valuesOf } from '../../src/widgets/value/lookup.ts';
import { attributes, chapterSources, filesUnder, read } from './support/sources.ts';

describe('a number in print', () => {
  test.each<[value: number, unit: string, digits: number | undefined, text: string]>([
    [0.020614, '1/mm', 3, '0.0206/mm'], [0.02, '1/mm', 2, '0.020/mm'], [-1.25, 'mm', undefined, '−1.25\u202fmm'], [15, 'mm', undefined, '15\u202fmm'],
    [12345.6, '', 3, '12\u202f300'], [402, '', undefined, '402'], [1234567, '', undefined, '1.235\u202f×\u202f10⁶'], [3.14159265, '', undefined, '3.142'], [2.5, '', undefined, '2.5'],
    [0.000012, 'mm', 2, '1.2\u202f×\u202f10⁻⁵\u202fmm'], [45, '°', undefined, '45°'], [12.5, '%', 3, '12.5\u202f%'], [0, 'mm', undefined, '0\u202fmm'], [-0, '', undefined, '0'], [0, '', 3, '0.00'],
    [0.9996, '', 3, '1.00'], [99.96, '', 3, '100'], [9999.6, '', 4, '10\u202f000'], [1e-4, '', 2, '0.00010'], [0.1 + 0.2, '', undefined, '0.3'], [100, '', undefined, '100'], [1500.4, '', undefined, '1500'],
  ])('%f %s to %s digits reads %s', (value, unit, digits, text) => {
    expect(quantityText({ value, unit }, { digits })).toBe(text);
  });

  test('places after the point are kept when they are asked for', () => {
    expect(formatQuantity({ value: -0.004 }, { decimals: 2 }).number).toBe('0.00');
    expect(formatQuantity({ value: 12345.678 }, { decimals: 1 }).number).toBe('12\u202f345.7');
  });

  test('on the page the power of ten is raised, in a formula it is TeX', () => {
    expect(quantityHtml({ value: 4.2e-7, unit: 'mm' }, { digits: 2 })).toBe('4.2\u202f×\u202f10<sup>−7</sup>\u202fmm');
    expect(tex({ value: -4.2e-7, unit: 'mm' }, 2)).toBe('-4.2\\times10^{-7}\\,\\mathrm{mm}');
    expect(tex({ value: 0.0206, unit: '1/mm' }, 3)).toBe('0.0206\\,\\mathrm{mm}^{-1}');
    expect(tex(12000)).toBe('12\\,000');
  });

  test.each([NaN, Infinity, -Infinity])('%f is not printed', (value) => {
    expect(() => formatQuantity({ value })).toThrow(/finite/);
  });
});

const sources = filesUnder('src/widgets', /\.(astro|ts|tsx)$/).filter((file) => !file.startsWith('src/widgets/values/')).map(read).join('\n');

describe.each(chapterSources)('$file', ({ slug, text }) => {
  test('asks only for numbers that its values, or another chapter’s, have', async () => {
    const asked = attributes(text, 'Value', 'of');
    expect(asked.length).toBeGreaterThan(0);
    const wanting: string[] = [];
    for (const name of asked) {
      const dot = name.indexOf('.');
      if (!slugs.includes(name.slice(0, dot)) || !(await valuesOf(name.slice(0, dot))).has(name.slice(dot + 1))) wanting.push(name);
    }
    expect(wanting).toEqual([]);
  });

  test('has no number worked out in vain', async () => {
    const exercises = read(`chapters/${chapterSources.find((chapter) => chapter.slug === slug)!.file.slice(9, -4)}/exercises.ts`);
    const asked = new Set(chapterSources.flatMap((chapter) => attributes(chapter.text, 'Value', 'of')));
    const elsewhere = `${text.replace(/<Value [^>]*>/g, '')}\n${exercises}\n${sources}`;
    const idle = [...(await valuesOf(slug)).keys()].filter((name) => !asked.has(`${slug}.${name}`) && !new RegExp(`\\.${name.split('.').at(-1)}\\b|'${name.split('.').at(-1)}'`).test(elsewhere));
    expect(idle, `in src/widgets/values/${slug}.ts`).toEqual([]);
  });
});

test.each(slugs)('the values of %s are numbers with units', async (slug) => {
  for (const [name, { value, unit }] of await valuesOf(slug)) {
    expect(Number.isFinite(value), `${slug}.${name} is ${value}`).toBe(true);
    expect(typeof (unit ?? ''), `${slug}.${name}`).toBe('string');
  }
});
