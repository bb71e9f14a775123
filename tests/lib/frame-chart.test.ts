import * as Plot from '@observablehq/plot';
import { parseHTML } from 'linkedom';
import { expect, test } from 'vitest';
import { draw, redraw, type Drawing } from '../../src/widgets/chart/draw.ts';

const { document } = parseHTML('<!doctype html><html><body></body></html>');
const drawing = (y: number[], more: Partial<Drawing> = {}): Drawing => ({
  title: 'A curve', x: { label: 'distance', unit: 'mm', domain: [0, 3] }, y: { label: 'value', domain: [0, 10] }, width: 300, height: 150,
  series: [{ name: 'line', x: [0, 1, 2, 3], y }, { name: 'dots', kind: 'dots', x: [1], y: [y[1]] }, { name: 'stems', kind: 'stems', x: [1, 2], y: [y[1], y[2]] }, { name: 'area', kind: 'area', x: [0, 1, 2, 3], y }],
  rules: [{ x: 2 }], ...more,
});
const curves = (element: Element) => [...element.querySelectorAll('.curve')].map((path) => path.getAttribute('d'));

test('curves moved in place are the curves drawn anew', () => {
  const moved = draw(Plot, drawing([1, 2, 3, 4]), document);
  const before = curves(moved.element);
  expect(redraw(moved, drawing([9, 3, 0, 5]))).toBe(true);
  expect(curves(moved.element)).toEqual(curves(draw(Plot, drawing([9, 3, 0, 5]), document).element));
  expect(curves(moved.element)).not.toEqual(before);
});

test('a changed axis or another number of curves asks for a new drawing', () => {
  const drawn = draw(Plot, drawing([1, 2, 3, 4]), document);
  expect(redraw(drawn, drawing([1, 2, 3, 4], { y: { label: 'value', domain: [0, 20] } }))).toBe(false);
  expect(redraw(drawn, drawing([1, 2, 3, 4], { rules: [] }))).toBe(false);
});

test('axes carry label and unit, and a value stands where the scale says', () => {
  const { element, x, y, frame } = draw(Plot, drawing([0, 10, 5, 0]), document);
  expect(element.textContent).toContain('distance, mm');
  expect(element.getAttribute('aria-label')).toBe('A curve');
  expect([x(0), x(3), y(0), y(10)]).toEqual([frame.left, frame.right, frame.bottom, frame.top]);
  expect(curves(element)[1]).toBe(`M${frame.left} ${frame.bottom}L${Math.round(x(1) * 10) / 10} ${frame.top}L${Math.round(x(2) * 10) / 10} ${(frame.top + frame.bottom) / 2}L${frame.right} ${frame.bottom}`);
});

test('a value that is no number leaves a gap', () => {
  const { element } = draw(Plot, drawing([1, NaN, 3, 4]), document);
  expect(curves(element)[1]!.match(/M/g)).toHaveLength(2);
  expect(curves(element).join('')).not.toContain('NaN');
});
