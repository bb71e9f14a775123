import { describe, expect, it } from 'vitest';
import { finish, forwardProject, parallelBeam, run, type Steps } from '../../src/lib/index.ts';
import { corrections, last, type CorrectionsResult, type CorrectionsState } from '../../src/widgets/corrections/model.ts';
import { specimen, type Specimen } from '../../src/widgets/specimen/specimen.ts';

const begin = (change: Partial<CorrectionsState> = {}, subject: Specimen = specimen('head')) => corrections.compute({ ...corrections.initial, ...change }, subject) as Steps<CorrectionsResult>;
const show = (...given: Parameters<typeof begin>) => finish(begin(...given));
const rms = (data: ArrayLike<number>) => Math.sqrt(Array.from(data).reduce((sum, value) => sum + value * value, 0) / data.length);

describe('the plate corrections', () => {
  it('starts with nothing: step 0 is the empty guess, and its misfit is all that was measured', () => {
    const { picture, misfit, course } = show({ iteration: 0 });
    expect(picture.data.every((value) => value === 0)).toBe(true);
    expect(rms(misfit.data)).toBeCloseTo(course.misfit[0], 5);
  });

  it('shows the misfit of the very picture that it shows', () => {
    const state = { views: 20, noise: 1, iteration: 13 };
    const { picture, misfit, course } = show(state);
    const empty = show({ ...state, iteration: 0 }).misfit;
    const own = forwardProject(picture, parallelBeam({ views: 20, detectors: 129, pitch: picture.pixelSize }));
    expect(rms(misfit.data.map((value, i) => value + own.data[i] - empty.data[i]))).toBeLessThan(1e-5);
    expect(rms(misfit.data)).toBeCloseTo(course.misfit[13], 5);
  });

  it('adds what it says it will add next', () => {
    const [now, next] = [7, 8].map((iteration) => show({ iteration }));
    now.correction.data.forEach((value, i) => {
      if (Math.abs(now.picture.data[i] + value - next.picture.data[i]) > 1e-6) expect.fail(`pixel ${i}`);
    });
  });

  it.each(['all', 'subsets'] as const)('brings the misfit down at every iteration, corrected after %s', (how) => {
    for (const id of ['head', 'capsule', 'bead'] as const) {
      const { misfit } = show({ how, noise: 2 }, specimen(id)).course;
      for (let k = 1; k <= last; k++) expect(misfit[k], `${id}, iteration ${k}`).toBeLessThan(misfit[k - 1]);
    }
  });

  it('comes down sooner with subsets, sooner still view by view', () => {
    const after = (how: CorrectionsState['how']) => show({ how, noise: 0 }).course.misfit[4];
    expect(after('subsets')).toBeLessThan(0.6 * after('all'));
    expect(after('each')).toBeLessThan(after('subsets'));
  });

  it('turns away from the object when noise is fitted, and the misfit meets the noise near where it does', () => {
    const { course, best, stop, noise } = show({ how: 'subsets', noise: 2 });
    expect(best).toBeGreaterThan(5);
    expect(best).toBeLessThan(40);
    expect(course.error[last]).toBeGreaterThan(1.1 * course.error[best]);
    expect(course.misfit[stop!]).toBeLessThanOrEqual(noise);
    expect(course.misfit[stop! - 1]).toBeGreaterThan(noise);
    expect(course.error[stop!]).toBeLessThan(1.1 * course.error[best]);
  });

  it('keeps everything from below zero when it is told to, and errs less', () => {
    const [bound, free] = [true, false].map((nonNegative) => show({ nonNegative, iteration: last, noise: 0 }));
    expect(Math.min(...bound.picture.data)).toBe(0);
    expect(Math.min(...free.picture.data)).toBeLessThan(0);
    expect(bound.error).toBeLessThan(free.error);
  });

  it('goes on where it was called off, to the same end', async () => {
    const subject = { ...specimen('capsule'), key: 'called off' };
    const control = new AbortController();
    const first = run(begin({ how: 'each', views: 60 }, subject), { signal: control.signal });
    setTimeout(() => control.abort(), 40);
    await expect(first).rejects.toThrow();
    const again = show({ how: 'each', views: 60 }, subject);
    const whole = show({ how: 'each', views: 60 }, { ...subject, key: 'at once' });
    expect(again.course.misfit).toHaveLength(last + 1);
    again.course.misfit.forEach((value, k) => expect(value, `iteration ${k}`).toBeCloseTo(whole.course.misfit[k], 5));
  });

  it('sketches with every change but that of the iteration, near the whole picture’s error', () => {
    const sketch = (change: Partial<CorrectionsState>) => corrections.sketch!({ ...corrections.initial, ...change }, specimen('head')) as Steps<CorrectionsResult> | undefined;
    for (const iteration of [0, 3, 30, last]) {
      const coarse = finish(sketch({ views: 31, iteration })!);
      expect(coarse.error / show({ views: 31, iteration }).error, `iteration ${iteration}`).toBeGreaterThan(0.6);
      expect(coarse.error / show({ views: 31, iteration }).error, `iteration ${iteration}`).toBeLessThan(1.7);
      expect(sketch({ views: 31, iteration: iteration + 1 })).toBeUndefined();
      expect(sketch({ views: 30 })).toBeDefined();
    }
  });

  it('says misfit, noise and error in words', () => {
    const say = (change: Partial<CorrectionsState>) => corrections.describe({ ...corrections.initial, ...change }, show(change), specimen('head'));
    expect(say({ iteration: 0 })).toMatch(/^Before the first iteration the picture is empty: its shadows miss all/);
    expect(say({ how: 'subsets' })).toMatch(/the misfit is down to it after \d+ iterations/);
    expect(say({ noise: 0 })).not.toMatch(/noise/);
  });
});
