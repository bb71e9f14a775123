import { describe, expect, it } from 'vitest';
import { light, type LightResult, type LightState } from '../../src/widgets/light/model.ts';
import { border } from '../../src/widgets/light/chain.ts';
import { exact, rig } from '../../src/widgets/light/rig.ts';
import { values } from '../../src/widgets/values/from-glow-to-numbers.ts';

const show = (change: Partial<LightState> = {}) => light.compute({ ...light.initial, ...change }, undefined as never) as LightResult;
const words = (change: Partial<LightState> = {}) => light.describe({ ...light.initial, ...change }, show(change), undefined as never);
const clean = { veil: 0, quanta: 100_000 };

describe('plate light, all steps taken', () => {
  it('gives line integrals whose error is the noise of their quanta and of the 8 bits', () => {
    // 1/√(N·e^−p) for the quanta; the steps of 8 bits add theirs, a uniform distribution a step wide. Glare taken off multiplies both by 1/(1 − share).
    const data = exact().view;
    let squares = 0;
    for (let i = 0; i < data.length; i++) {
      const x = (i % rig.width) - (rig.width - 1) / 2, y = Math.floor(i / rig.width) - (rig.height - 1) / 2;
      const lens = rig.brightness * (1 - rig.vignetting * ((x * x + y * y) / ((rig.width / 2) ** 2 + (rig.height / 2) ** 2))) * (1 + (rig.heel * x) / (rig.width / 2));
      const exposed = 2 ** light.initial.stops * Math.exp(-data[i]);
      const step = ((2.4 / 1.055) * (lens * exposed) ** (1.4 / 2.4)) / 255 / (lens * exposed);
      squares += 1 / (light.initial.quanta * exposed) + step ** 2 / 12;
    }
    const expected = Math.sqrt(squares / data.length);
    expect(show().error / expected, `rms error over what counting allows, ${expected.toFixed(4)}`).toBeGreaterThan(0.9);
    expect(show().error / expected, `rms error over what counting allows, ${expected.toFixed(4)}`).toBeLessThan(1.2);
  });

  it('has √10 of the noise with a tenth of the quanta', () => {
    expect(show({ quanta: 1000 }).errorOpen / show({ quanta: 10_000 }).errorOpen).toBeCloseTo(Math.sqrt(10), 0);
  });

  it('reads from the border what the exposure was: 2 to the power of the stops', () => {
    for (const stops of [-1, -0.5, 0, 0.2]) expect(show({ stops }).level, `${stops} stops`).toBeCloseTo(2 ** stops, 2);
  });

  it('leaves thin and thick parts as they are', () => {
    const { thin, thick } = show(clean);
    expect(Math.abs(thin - 1), 'thin parts').toBeLessThan(0.01);
    expect(Math.abs(thick - 1), 'thick parts').toBeLessThan(0.01);
  });
});

describe('plate light, one step left out', () => {
  it('no step is there for nothing: each makes the picture better', () => {
    const all = show().error;
    for (const step of ['curve', 'dark', 'spots', 'glare', 'flat', 'exposure', 'logarithm'] as const) expect(show({ [step]: false }).error, step).toBeGreaterThan(1.05 * all);
  });

  it('a wrong exposure shifts every line integral by its logarithm: 0.3 stops by 0.3 ln 2', () => {
    const { picture } = show({ ...clean, stops: -0.3, exposure: false });
    const right = show({ ...clean, stops: -0.3 }).picture;
    const shift = picture.data.reduce((sum, value, i) => sum + value - right.data[i], 0) / picture.data.length;
    expect(shift).toBeCloseTo(0.3 * Math.LN2, 2);
  });

  it('glare and dark make thick parts look thinner, and the thicker the more', () => {
    for (const step of ['glare', 'dark'] as const) {
      const { thin, thick } = show({ [step]: false, veil: 8 });
      expect(thick, step).toBeLessThan(0.98);
      expect(thick, step).toBeLessThan(thin);
    }
  });

  it('the curve left in takes more than half, and more of thin parts than of thick ones', () => {
    const { thin, thick } = show({ curve: false });
    expect(thin).toBeLessThan(0.5);
    expect(thick).toBeLessThan(0.55);
    expect(thick).toBeGreaterThan(thin);
  });

  it('without a logarithm the picture is 1 − e^−p', () => {
    const [share, p] = [show({ logarithm: false }).picture.data, show().picture.data];
    for (let i = 0; i < p.length; i += 97) expect(share[i]).toBeCloseTo(1 - Math.exp(-p[i]), 5);
  });
});

describe('plate light, around the picture', () => {
  it('the border is free of the object, in the neighbouring views too', () => {
    const { view, neighbours } = exact();
    for (const shadow of [view, ...neighbours]) expect(Math.max(...shadow.filter((_, i) => border[i] === 1))).toBe(0);
  });

  it('the object is there and thick: the nut and the marble, 60 keV', () => {
    expect(Math.max(...exact().view)).toBeGreaterThan(1.5);
  });

  it('the same settings give the same picture', () => {
    expect(show({ stops: -0.45 }).picture.data).toEqual(show({ stops: -0.45 }).picture.data);
  });

  it('a row’s profile is that row of the picture and of the exact line integrals', () => {
    const { profile, picture } = show({ row: 30 });
    expect([...profile.picture]).toEqual([...picture.data.subarray(30 * rig.width, 31 * rig.width)]);
    expect([...profile.exact]).toEqual([...exact().view.subarray(30 * rig.width, 31 * rig.width)]);
  });

  it('shows beside it what it says', () => {
    const { picture, beside } = show({ beside: 'difference' });
    const truth = show({ beside: 'exact' }).beside;
    expect(beside.data[9000]).toBeCloseTo(picture.data[9000] - truth.data[9000], 6);
    const stored = show({ beside: 'photograph' }).beside;
    for (let i = 0; i < stored.data.length; i += 101) expect((255 * stored.data[i]) % 1, 'whole steps of 8 bits').toBeCloseTo(Math.round((255 * stored.data[i]) % 1), 3);
  });

  it('says what was left out, and what came of it', () => {
    expect(words()).toMatch(/^All steps are taken\. .*off by 0\.01\d \(rms\).* both come out right.*0\.81 of the flat’s light/);
    expect(words({ curve: false })).toMatch(/^The camera’s curve is not undone\. .*thick parts at 0\.5\d times/);
    expect(words({ dark: false, spots: false })).toMatch(/^The dark is not subtracted; spots are left in\./);
    expect(words({ exposure: false })).not.toContain('border says');
  });
});

describe('what chapter 2 prints, against the outside', () => {
  it('σ of a line integral: N₀ = 10⁵ and p = 2 give N = 13533.53 and σ = 0.00859596 (1/√(N₀e^−p))', () => {
    expect(values.arriving.value).toBeCloseTo(13533.53, 2);
    expect(values.sigma.value).toBeCloseTo(0.00859596, 8);
  });
  it('sRGB, by the constants of IEC 61966-2-1: half of the light is stored as 0.735356983, 188 of 255; 128 of 255 is 0.215860500 of the light', () => {
    expect(values.half.value).toBeCloseTo(0.735356983, 8);
    expect(values.halfByte.value).toBe(188);
    expect(values.middleLight.value).toBeCloseTo(21.58605, 5);
  });
  it('with 100 photons: noise 0.1, lean 0.005 (a simulation of two million counts gave 0.1008 and 0.0051)', () => {
    expect(Math.abs(values.fewSigma.value / 0.10082 - 1)).toBeLessThan(0.01);
    expect(Math.abs(values.fewBias.value / 0.00509 - 1)).toBeLessThan(0.05);
  });
});
