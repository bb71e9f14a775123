/** Plates that can show finer pictures: they do, and what they measure then lies nearer to the truth. */
import { expect, test } from 'vitest';
import { compute, firstSpecimen } from '../../src/widgets/frame/compute.ts';
import type { AnyPlate } from '../../src/widgets/frame/definition.ts';
import { smearPlate, type SmearResult } from '../../src/widgets/smear/model.ts';
import { views, type ViewsResult } from '../../src/widgets/views/model.ts';
import { windowPlate, type WindowResult } from '../../src/widgets/window/model.ts';

const made = (plate: AnyPlate, change: object) => compute(plate, { ...plate.initial, ...change }, firstSpecimen(plate));

test('256 pixels along an edge make pictures of 256²', async () => {
  for (const [plate, picture] of [[smearPlate, (r: SmearResult) => r.sum], [views, (r: ViewsResult) => r.picture], [windowPlate, (r: WindowResult) => r.picture]] as const) {
    for (const pixels of [128, 256]) {
      const { width, height, data } = (picture as (r: unknown) => SmearResult['sum'])(await made(plate, { pixels }));
      expect([width, height, data.length], `${plate.id} at ${pixels}`).toEqual([pixels, pixels, pixels ** 2]);
    }
  }
});

test('the blur about a bead follows its law more closely on finer pixels', async () => {
  const off = async (pixels: number) => Math.abs(((await made(smearPlate, { pixels, count: 180, laid: 180 })) as SmearResult).blur!.power + 1);
  expect(await off(256)).toBeLessThanOrEqual(await off(128) + 0.01);
});
