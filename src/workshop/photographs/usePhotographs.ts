/** What the page knows and does: the roll in hand with its history, its photographs, what came of it, and the work under way. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { BadInput, mostSteps, type Scan, type Volume, type Work } from '../../lib/index.ts';
import type { Busy as WorkUnderWay } from '../Progress.tsx';
import type { GivenFile } from '../scan/receive.ts';
import { isStopped, sentenceOf } from '../sentence.ts';
import type { SavedView } from '../volume/VolumeSheet.tsx';
import { openDarkroom } from './darkroom.ts';
import * as keep from './keep.ts';
import * as model from './model.ts';
import type { History, Roll } from './model.ts';
import { isArchive, isVideo, receive } from './receive.ts';
import { axisKey, checkKey, lightKey, stepsKey, volumeKey, type Results } from './results.ts';
import { scanOf } from './scanfile.ts';
import type { Source } from './worker.ts';

export type Place = 'frames' | 'rig' | 'light' | 'align' | 'volume' | 'away';

type Busy = WorkUnderWay<Place>;

/** What was seen of a photograph when it was opened. */
export interface Facts {
  readonly thumb?: string;
  readonly saturated?: number;
  /** Why it cannot be used. */
  readonly trouble?: string;
}

/** What is laid on the table beside the roll: not undone, and found again after a reload. */
interface Table {
  readonly results: Results;
  readonly volume?: Volume;
  readonly view?: SavedView;
}

const empty: Table = { results: {} };

const unkeptSentence = (what: string, full: boolean) => (full
  ? `This browser has no more room for this page (${what} could not be kept): it is here until the page is closed. Delete a scan that you no longer need, or take away what you have made.`
  : 'This browser keeps nothing for this page (a private window, perhaps): a reload will lose what lies here.');

/** Radians, + where the source goes counter-clockwise: one of `count` in a whole turn. */
const stepOf = (roll: Roll, count = model.stepsInTurn(roll)!) => ((roll.rig.turn === 'clockwise' ? -1 : 1) * 2 * Math.PI) / count;

export function usePhotographs() {
  const [history, setHistory] = useState<History>();
  const [shelf, setShelf] = useState<readonly keep.Entry[]>([]);
  const [ready, setReady] = useState(false);
  const [table, setTable] = useState<Table>(empty);
  const [facts, setFacts] = useState<ReadonlyMap<number, Facts>>(new Map());
  const [busy, setBusy] = useState<Busy>();
  const [complaints, setComplaints] = useState<Readonly<Partial<Record<Place, string>>>>({});
  const [said, setSaid] = useState<string>();
  const [unkept, setUnkept] = useState<string>();
  const [film, setFilm] = useState<GivenFile>();
  const files = useRef(new Map<number, Blob>());
  const seen = useRef(new Set<number>());
  const darkroom = useMemo(openDarkroom, []);
  const roll = history?.now;
  const newest = useRef({ roll, table, busy });
  newest.current = { roll, table, busy };

  const complain = (place: Place, error: unknown) => { if (!isStopped(error)) setComplaints((now) => ({ ...now, [place]: sentenceOf(error) })); };
  const pacify = (place: Place) => setComplaints(({ [place]: _, ...others }) => others);
  /** Keeps, and says so where there is no room for it; the work goes on without. */
  const kept = async (what: string, write: () => Promise<unknown>) => {
    try {
      await write();
    } catch (error) {
      setUnkept(unkeptSentence(what, keep.isFull(error)));
    }
  };

  // What was open last is there again.
  useEffect(() => {
    void (async () => {
      try {
        setShelf(await keep.listRolls());
        const id = await keep.lastRoll();
        if (id !== undefined && !newest.current.roll) await open(id);
      } catch (error) {
        setUnkept(unkeptSentence('the list of scans', keep.isFull(error)));
      } finally {
        setReady(true);
      }
    })();
    return () => darkroom.close();
  }, []);

  // Every edit is put away a moment later.
  useEffect(() => {
    if (!roll || !ready) return;
    const timer = setTimeout(() => void putAway(), 60);
    return () => clearTimeout(timer);
  }, [roll, table.volume]);
  const putAway = () => {
    const { roll: now, table: { volume } } = newest.current;
    return now ? kept('the scan', async () => { setShelf(await keep.keepRoll(now, volume?.data.byteLength ?? 0)); await keep.openedRoll(now.id); }) : Promise.resolve();
  };
  useEffect(() => {
    const leaving = () => { void putAway(); };
    addEventListener('pagehide', leaving);
    return () => removeEventListener('pagehide', leaving);
  }, []);

  const lastEdit = useRef({ what: '', at: 0 });
  /** what: edits of one name that follow within a second are taken back together; one that is 'of the last' is taken back with it. */
  const edit = (change: (roll: Roll) => Roll, what?: string) => {
    const now = performance.now();
    const together = what === 'of the last' || (what !== undefined && what === lastEdit.current.what && now - lastEdit.current.at < 1000);
    lastEdit.current = { what: what ?? '', at: now };
    setHistory((history) => history && model.edited(history, change, together));
  };
  const keepResults = (change: (results: Results) => Results) => {
    const results = change(newest.current.table.results);
    newest.current = { ...newest.current, table: { ...newest.current.table, results } };
    setTable((now) => ({ ...now, results }));
    const { roll: now } = newest.current;
    if (now) void kept('what came of it', () => keep.keepResults(now.id, results));
  };

  const lay = (now: Roll | undefined, laid: Table) => {
    for (const { thumb } of facts.values()) if (thumb) URL.revokeObjectURL(thumb);
    setFacts(new Map());
    seen.current = new Set();
    setHistory(now && model.begun(now));
    setTable(laid);
    setComplaints({});
    setSaid(undefined);
    newest.current = { roll: now, table: laid, busy: undefined };
  };

  async function open(id: string): Promise<void> {
    newest.current.busy?.stop();
    const found = await keep.openRoll(id);
    if (!found) { setShelf(await keep.deleteRoll(id)); return; }
    files.current = new Map(found.files);
    lay(found.roll, { results: found.results ?? {}, ...(found.volume ? { volume: found.volume } : {}), ...(found.view ? { view: found.view } : {}) });
    seen.current = new Set(found.thumbs.keys());
    setFacts(new Map([...found.thumbs].map(([frame, thumb]) => [frame, { thumb: URL.createObjectURL(thumb) }])));
    await kept('the scan', () => keep.openedRoll(id));
    // The page may have been closed while photographs were coming in.
    const lost = found.roll.frames.filter((frame) => !found.files.has(frame.id));
    if (lost.length > 0) {
      edit((now) => ({ ...now, frames: now.frames.filter((frame) => found.files.has(frame.id)) }), 'of the last');
      complain('frames', new BadInput(`${lost.length === 1 ? `${lost[0].name} was` : `${lost.length} photographs were`} not here yet when the page was closed: choose ${lost.length === 1 ? 'it' : 'them'} once more.`));
    }
    await look();
  }

  const close = async () => {
    newest.current.busy?.stop();
    const away = putAway();
    files.current = new Map();
    lay(undefined, empty);
    await away;
    await kept('the scan', () => keep.openedRoll(newest.current.roll?.id));
  };

  const remove = async (id: string) => {
    if (newest.current.roll?.id === id) {
      newest.current.busy?.stop();
      files.current = new Map();
      lay(undefined, empty);
      await kept('the scan', () => keep.openedRoll(undefined));
    }
    setUnkept(undefined);
    await kept('the list', async () => setShelf(await keep.deleteRoll(id)));
  };

  /** Does one piece of work at a time, with its progress; what it throws is said at its place. */
  const under = async <T,>(place: Place, what: string, task: (work: Required<Work>) => Promise<T>): Promise<T | undefined> => {
    newest.current.busy?.stop();
    const control = new AbortController();
    const stop = () => control.abort(new DOMException('stopped', 'AbortError'));
    let last = 0;
    const mine = (fraction: number): Busy => ({ place, what, fraction, stop });
    pacify(place);
    void putAway(); // long work is when pages are closed
    setBusy((newest.current.busy = mine(0)));
    const progress = (fraction: number) => {
      if (fraction < last + 0.01 || control.signal.aborted) return;
      last = fraction;
      setBusy((now) => (now?.stop === stop ? mine(fraction) : now));
    };
    try {
      return await task({ signal: control.signal, progress });
    } catch (error) {
      complain(place, error);
      return undefined;
    } finally {
      setBusy((now) => (now?.stop === stop ? undefined : now));
      if (newest.current.busy?.stop === stop) newest.current = { ...newest.current, busy: undefined };
    }
  };

  /** Opens the photographs that have not been opened yet, one after the other: whether they can be read, their size, a thumbnail. */
  const look = async () => {
    const fresh = (newest.current.roll?.frames ?? []).filter(({ id }) => !seen.current.has(id) && files.current.has(id));
    if (fresh.length > 0) await under('frames', 'Opening photographs', (work) => lookAt(fresh, work));
  };
  const lookAt = async (fresh: readonly model.Frame[], { signal, progress }: Required<Work>) => {
    const { id, light: { channel } } = newest.current.roll!;
    const troubles: string[] = [];
    const found = new Map<number, Facts>();
    let shown = performance.now();
    const show = () => { setFacts((now) => new Map([...now, ...found])); found.clear(); shown = performance.now(); };
    for (const [k, frame] of fresh.entries()) {
      signal.throwIfAborted();
      const file = files.current.get(frame.id)!;
      try {
        const { thumb, saturated, encoding, ...size } = await darkroom.ask({ kind: 'open', name: frame.name, file, channel }, { signal });
        const present = newest.current.roll?.size;
        const misfit = present && (present.width !== size.width || present.height !== size.height);
        if (misfit) throw new BadInput(`${frame.name} has ${size.width} × ${size.height} pixels and the others ${present.width} × ${present.height}: all photographs of a scan, dark and flat ones too, must have one size.`);
        if (!present) {
          edit((now) => ({ ...model.sized(now, size, true), light: { ...model.sized(now, size, true).light, ...(encoding === 'linear' ? { encoding } : {}) } }), 'of the last');
          newest.current = { ...newest.current, roll: model.sized(newest.current.roll!, size, true) };
        }
        found.set(frame.id, { thumb: URL.createObjectURL(thumb), saturated });
        await kept(frame.name, () => keep.keepThumb(id, frame.id, thumb));
      } catch (error) {
        signal.throwIfAborted();
        troubles.push(sentenceOf(error));
        found.set(frame.id, { trouble: sentenceOf(error) });
      }
      seen.current.add(frame.id);
      progress((k + 1) / fresh.length);
      if (performance.now() - shown > 150) show();
    }
    show();
    if (troubles.length > 0) throw new BadInput(`${troubles[0]}${troubles.length > 1 ? ` (${troubles.length - 1} more cannot be used: they are marked below.)` : ''} Leave ${troubles.length > 1 ? 'them' : 'it'} out, or bring what should stand in ${troubles.length > 1 ? 'their' : 'its'} place.`);
  };

  const bring = async (given: readonly GivenFile[], sample?: string): Promise<boolean> => {
    const videos = given.filter(isVideo);
    if (videos.length > 0 && videos.length === given.length) {
      setFilm(videos[0]);
      return false;
    }
    const received = await under('frames', 'Reading', async ({ signal, progress }) => {
      const plain: GivenFile[] = [];
      for (const file of given) {
        if (!isArchive(file)) { plain.push(file); continue; }
        const entries = await darkroom.ask({ kind: 'unpack', name: file.name, file: file.blob ?? new Blob([(await file.bytes()) as Uint8Array<ArrayBuffer>]) }, { signal, progress });
        plain.push(...entries.map(({ name, file: blob }) => ({ name, size: blob.size, blob, bytes: async () => new Uint8Array(await blob.arrayBuffer()) })));
      }
      const result = await receive(plain, sample === undefined ? newest.current.roll : undefined, files.current, crypto.randomUUID());
      signal.throwIfAborted();
      return result;
    });
    if (!received) return false;
    const { roll: next, fresh, unused, scanName } = received;
    const began = next.id !== newest.current.roll?.id;
    if (began) {
      void putAway();
      files.current = new Map();
      lay({ ...next, ...(sample === undefined ? {} : { sample }) }, empty);
    } else {
      const grown = (now: Roll) => model.added(now, fresh.map(({ frame }) => frame));
      edit(grown);
      newest.current = { ...newest.current, roll: grown(newest.current.roll!) };
    }
    for (const { frame, file } of fresh) files.current.set(frame.id, file);
    setSaid([scanName && `The answers below come from ${scanName}.`, unused.length > 0 && `Not needed: ${unused.slice(0, 4).join(', ')}${unused.length > 4 ? ` and ${unused.length - 4} more` : ''}.`].filter(Boolean).join(' ') || undefined);
    await putAway();
    const keeping = (async () => {
      for (const { frame, file } of fresh) await kept(frame.name, () => keep.keepFile(next.id, frame.id, file));
    })();
    await look();
    await keeping;
    return true;
  };

  /** All that the darkroom needs for the roll as it stands. Throws BadInput where something is missing. */
  const sourceOf = (roll: Roll): Source => {
    if (!roll.size) throw new BadInput('None of the photographs could be opened yet.');
    const blobs = (frames: readonly model.Frame[]) => frames.map(({ id, name }) => {
      const file = files.current.get(id);
      if (!file) throw new BadInput(`${name} is no longer here: bring it once more.`);
      return file;
    });
    const { axis } = newest.current.table.results;
    const found = axis?.key === axisKey(roll) ? axis.axis : {};
    return { key: lightKey(roll), scan: scanOf(roll, found), views: blobs(model.viewsOf(roll)), dark: blobs(model.framesOf(roll, 'dark')), flat: blobs(model.framesOf(roll, 'flat')) };
  };
  const now = () => newest.current.roll!;

  /** Light to line integrals, unless that is done. */
  const developFirst = async (work: Work): Promise<void> => {
    const source = sourceOf(now());
    if (newest.current.table.results.developed?.key === source.key) return;
    const began = performance.now();
    const developed = await darkroom.ask({ kind: 'develop', source }, work);
    keepResults((results) => ({ ...results, developed: { ...developed, seconds: (performance.now() - began) / 1000 } }));
  };
  const findAxisFirst = async (work: Work, always = false): Promise<void> => {
    const roll = now();
    const key = axisKey(roll);
    if (!always && roll.axis.offset !== undefined && roll.axis.tilt !== undefined) return;
    if (newest.current.table.results.axis?.key === key) return;
    const axis = await darkroom.ask({ kind: 'axis', source: sourceOf(roll), key }, work);
    keepResults((results) => ({ ...results, axis }));
  };
  const share = ({ signal, progress }: Required<Work>, from: number, to: number): Required<Work> => ({ signal, progress: (fraction) => progress(from + (to - from) * fraction) });

  const develop = () => under('light', 'Turning light into line integrals', developFirst);
  const seekAxis = () => under('align', 'Looking for the axis', async (work) => {
    await developFirst(share(work, 0, 0.7));
    await findAxisFirst(share(work, 0.7, 1), true);
  });
  const seekSteps = (count: number, fixed: readonly (readonly [number, number])[]) => under('align', 'Looking for the missing steps', async (work) => {
    await developFirst(share(work, 0, 0.3));
    const roll = now();
    const steps = await darkroom.ask({ kind: 'steps', source: sourceOf(roll), key: stepsKey(roll), count, step: stepOf(roll, count), fixed }, share(work, 0.3, 1));
    keepResults((results) => ({ ...results, steps }));
  });
  const check = () => under('align', 'Comparing each view with the volume', async (work) => {
    await developFirst(share(work, 0, 0.4));
    await findAxisFirst(share(work, 0.4, 0.5));
    const roll = now();
    const count = model.stepsInTurn(roll), at = model.stepsOf(roll);
    const turn = count !== undefined && count <= mostSteps && count >= 8 ? { count, step: stepOf(roll), steps: model.viewsOf(roll).map(({ id }) => at.get(id)!) } : undefined;
    const result = await darkroom.ask({ kind: 'check', source: sourceOf(roll), key: checkKey(roll), ...(turn ? { turn } : {}) }, share(work, 0.5, 1));
    keepResults((results) => ({ ...results, check: result }));
  });
  const make = () => under('volume', 'Making the volume', async (work) => {
    const began = performance.now();
    await developFirst(share(work, 0, 0.6));
    await findAxisFirst(share(work, 0.6, 0.7));
    const roll = now();
    const source = sourceOf(roll);
    const { volume, how, unkept } = await darkroom.ask({ kind: 'volume', source, roll: roll.id }, share(work, 0.7, 1));
    if (unkept) setUnkept(unkeptSentence('the volume', unkept === 'full'));
    const { axisOffset = 0, tilt = 0 } = source.scan.detector;
    setTable((table) => ({ ...table, volume }));
    newest.current = { ...newest.current, table: { ...newest.current.table, volume } };
    keepResults((results) => ({ ...results, made: { key: volumeKey(roll), scan: source.scan, axis: { offset: axisOffset, tilt, found: roll.axis.offset === undefined }, seconds: (performance.now() - began) / 1000, how } }));
  });

  /** The camera's curve from one scene at several exposures. */
  const measureCurve = (series: readonly { readonly name: string; readonly file: Blob; readonly seconds: number }[]) => under('light', 'Measuring the camera’s curve', async (work) => {
    const report = await darkroom.ask({ kind: 'curve', series, channel: now().light.channel }, work);
    edit((roll) => ({ ...roll, light: { ...roll.light, encoding: 'measured', curve: report.curve } }));
    return report;
  });

  /** What photographs of a bead, at even steps of a turn, tell of the rig: taken with this roll's camera, dark and flat frames. */
  const followBead = (views: readonly { readonly name: string; readonly file: Blob }[], radius: number) => under('rig', 'Following the bead', async (work) => {
    const { scan, dark, flat } = sourceOf(now());
    if (scan.frames.kind !== 'photographs') throw new RangeError('a roll is of photographs');
    const bead: Scan = { ...scan, angles: { step: 360 / views.length, count: views.length }, frames: { ...scan.frames, files: views.map(({ name }) => name), without: [...new Set([...(scan.frames.without ?? []), 'spots' as const, 'rings' as const])] } };
    return darkroom.ask({ kind: 'bead', source: { key: 'bead', scan: bead, views: views.map(({ file }) => file), dark, flat }, radius }, work);
  });

  /** One view as it was taken and as line integrals, as far as the darkroom has them. */
  const frame = async (view: number, signal: AbortSignal) => {
    const roll = now();
    const source = sourceOf(roll);
    const { name } = model.viewsOf(roll)[view];
    const stored = await darkroom.ask({ kind: 'stored', name, file: source.views[view], channel: roll.light.channel, bin: Math.max(1, Math.round(roll.size!.width / 640)) }, { signal });
    const fresh = newest.current.table.results.developed?.key === source.key && !newest.current.busy;
    return { stored, integrals: fresh ? await darkroom.ask({ kind: 'frame', source, view }, { signal }) : undefined };
  };

  const viewTimer = useRef<ReturnType<typeof setTimeout>>();
  const setView = (view: SavedView) => {
    setTable((now) => ({ ...now, view }));
    clearTimeout(viewTimer.current);
    const id = now().id;
    viewTimer.current = setTimeout(() => void kept('the view', () => keep.keepView(id, view)), 400);
  };

  return {
    ready, roll, history, shelf, files: files.current, facts, busy, complaints, said, unkept, film, ...table,
    edit, undo: () => setHistory((now) => now && model.undone(now)), redo: () => setHistory((now) => now && model.redone(now)),
    bring, open, close, remove, measureCurve, develop, followBead, seekAxis, seekSteps, check, make, frame, setView, complain, pacify,
    closeFilm: () => setFilm(undefined),
  };
}

export type Photographs = ReturnType<typeof usePhotographs>;
