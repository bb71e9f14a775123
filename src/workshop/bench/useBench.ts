/** What the bench knows and does: the plan under hand, what follows from it, what was rehearsed, and the work under way. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { BadInput, derivePlan, planObject, readNrrd, readPlan, type DerivedFigure, type EnoughWish, type Plan, type Work } from '../../lib/index.ts';
import type { Busy as WorkUnderWay } from '../Progress.tsx';
import type { GivenFile } from '../scan/receive.ts';
import { isStopped, sentenceOf } from '../sentence.ts';
import * as keep from './keep.ts';
import type { OwnVolume } from './keep.ts';
import * as model from './model.ts';
import type { Bench, Path } from './model.ts';
import { askedFor, plans } from './plans.ts';
import { openRehearsalRoom, type Rehearsed } from './room.ts';

export type { OwnVolume };

export type Place = 'object' | 'rehearse' | 'enough' | 'compare' | 'away';
type Busy = WorkUnderWay<Place>;

/** A rehearsal, with the plan that it is of. */
export interface Trial { readonly plan: Plan; readonly size: number; readonly rehearsed: Rehearsed; readonly seconds: number }

/** What follows from a plan, with the cylinder that its object turns in where that is known; or why nothing does. */
export type Followed = { readonly figures: readonly DerivedFigure[]; readonly object?: { readonly radius: number; readonly bottom: number; readonly top: number } } | { readonly sentence: string };

export function follow(plan: Plan, own?: OwnVolume): Followed {
  const volume = plan.object.kind === 'volume' ? own?.volume : undefined;
  const mistake = model.mistakeIn(plan);
  if (mistake) return { sentence: mistake };
  try {
    const figures = derivePlan(plan, volume ? { volume } : {});
    return plan.object.kind === 'volume' && !volume ? { figures } : { figures, object: planObject(plan, volume) };
  } catch (error) {
    if (error instanceof BadInput || error instanceof RangeError) return { sentence: error.message };
    throw error;
  }
}

export function useBench() {
  const [bench, setBench] = useState<Bench>(() => model.begun(plans[0].plan));
  const [ready, setReady] = useState(false);
  const [volume, setVolume] = useState<OwnVolume>();
  const [busy, setBusy] = useState<Busy>();
  const [complaints, setComplaints] = useState<Partial<Record<Place, string>>>({});
  const [trials, setTrials] = useState<{ readonly own?: Trial; readonly other?: Trial }>({});
  const [unkept, setUnkept] = useState<string>();
  const room = useMemo(openRehearsalRoom, []);
  const running = useRef<Busy>();

  useEffect(() => {
    keep.recall().then((found) => {
      if (found.plan) setBench(model.begun(found.plan, found.other));
      if (found.volume) setVolume(found.volume);
    }, () => {}).finally(() => {
      layAsked();
      setReady(true);
    });
    return () => room.close();
  }, []);

  useEffect(() => {
    if (!ready) return;
    const timer = setTimeout(() => keep.keepPlans(bench.plan, bench.other).catch(() => setUnkept('This browser would not keep the plan: take its file away before you leave the page.')), 100);
    return () => clearTimeout(timer);
  }, [ready, bench.plan, bench.other]);

  const lastEdit = useRef({ path: '', at: 0 });
  const set = (path: Path, value: unknown) => {
    const now = performance.now(), name = path.join('.');
    const together = lastEdit.current.path === name && now - lastEdit.current.at < 1000;
    lastEdit.current = { path: name, at: now };
    setBench((bench) => model.edited(bench, model.withValue(bench.plan, path, value), together));
  };
  const lay = (plan: Plan) => {
    lastEdit.current = { path: '', at: 0 };
    setBench((bench) => model.edited(bench, plan));
  };

  /** Lays the ready plan that the address asks for over the one that lay there, and takes the question out of the address: loading again is to find what was made of it. */
  const layAsked = () => {
    const asked = askedFor(location.search);
    if (!asked) return;
    setBench((bench) => (JSON.stringify(bench.plan) === JSON.stringify(asked.plan) ? bench : model.edited(bench, asked.plan)));
    history.replaceState(history.state, '', location.pathname + location.hash);
  };

  const complain = (place: Place, error: unknown) => setComplaints((now) => ({ ...now, [place]: error === undefined ? undefined : sentenceOf(error) }));

  /** One piece of work at a time, with its progress; what it throws is said at its place. */
  const under = async <T,>(place: Place, what: string, task: (work: Required<Work>) => Promise<T>): Promise<T | undefined> => {
    running.current?.stop();
    const control = new AbortController();
    const stop = () => control.abort(new DOMException('stopped', 'AbortError'));
    const mine = (fraction: number): Busy => ({ place, what, fraction, stop });
    let last = 0;
    complain(place, undefined);
    setBusy((running.current = mine(0)));
    try {
      return await task({
        signal: control.signal,
        progress: (fraction) => {
          if (fraction < last + 0.01 || control.signal.aborted) return;
          last = fraction;
          setBusy((now) => (now?.stop === stop ? mine(fraction) : now));
        },
      });
    } catch (error) {
      if (!isStopped(error)) complain(place, error);
      return undefined;
    } finally {
      if (running.current?.stop === stop) running.current = undefined;
      setBusy((now) => (now?.stop === stop ? undefined : now));
    }
  };

  /** The volume that a plan is of, where it is of one. */
  const own = (plan: Plan) => (plan.object.kind === 'volume' && volume ? { volume: volume.volume } : {});
  const followed = useMemo(() => follow(bench.plan, volume), [bench.plan, volume]);
  const otherFollowed = useMemo(() => (bench.other ? follow(bench.other, volume) : undefined), [bench.other, volume]);

  /** Whether it came to an end. */
  const rehearse = async (size: number, which: 'own' | 'other' = 'own', place: Place = 'rehearse') => {
    const plan = which === 'own' ? bench.plan : bench.other!;
    const began = performance.now();
    const rehearsed = await under(place, which === 'own' ? 'Rehearsing this plan' : 'Rehearsing the other plan', (work) => room.ask({ kind: 'rehearse', plan, size, ...own(plan) }, work));
    if (rehearsed) setTrials((now) => ({ ...now, [which]: { plan, size, rehearsed, seconds: (performance.now() - began) / 1000 } }));
    return rehearsed !== undefined;
  };

  const enough = (wish: EnoughWish) => under('enough', 'Looking for the least that is enough', (work) => room.ask({ kind: 'enough', plan: bench.plan, wish, ...own(bench.plan) }, work));

  const bringPlan = (file: GivenFile) => under('away', 'Reading', async () => {
    const text = new TextDecoder().decode(await file.bytes());
    try {
      lay(readPlan(text));
    } catch (error) {
      throw error instanceof BadInput ? new BadInput(`${file.name}: ${error.message}`) : error;
    }
  });

  const bringVolume = (file: GivenFile) => under('object', 'Reading', async () => {
    try {
      const own = { name: file.name, volume: await readNrrd(await file.bytes()) };
      setVolume(own);
      set(['object', 'file'], file.name);
      await keep.keepVolume(own).catch(() => setUnkept('This browser has no room to keep the volume: bring it again after the page was closed.'));
    } catch (error) {
      throw error instanceof BadInput && !error.message.startsWith(file.name) ? new BadInput(`${file.name}: ${error.message}`) : error;
    }
  });

  return {
    ready, bench, volume, busy, complaints, trials, unkept, followed, otherFollowed,
    set, lay, rehearse, enough, bringPlan, bringVolume, complain,
    undo: () => setBench(model.undone), redo: () => setBench(model.redone),
    compareWith: (other: Plan | undefined) => { setBench(({ other: _, ...now }) => (other ? { ...now, other } : now)); setTrials(({ own }) => ({ own })); },
    exchange: () => { setBench((now) => (now.other ? { ...model.edited(now, now.other), other: now.plan } : now)); setTrials(({ own, other }) => ({ own: other, other: own })); },
  };
}

export type BenchState = ReturnType<typeof useBench>;
