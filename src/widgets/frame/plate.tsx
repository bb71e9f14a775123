import type { ComponentType } from 'preact';
import { useEffect, useLayoutEffect, useMemo, useRef, useState } from 'preact/hooks';
import { useKernels } from '../../lib/index.ts';
import { chooseSpecimen, chosenSpecimen, followSpecimen } from '../specimen/choice.ts';
import type { Specimen } from '../specimen/specimen.ts';
import { flushAddress, keepAddress, readAddress } from './address.ts';
import { findSpecimen, firstSpecimen } from './compute.ts';
import { Controls } from './Controls.tsx';
import type { PlateDefinition, State, ViewProps } from './definition.ts';
import { openDesk, type Desk, type Outcome } from './desk.ts';
import { gettingReady } from './ready.ts';
import { clean } from './settings.ts';
import { SpecimenPicker } from './SpecimenPicker.tsx';
import { TakeAway } from './TakeAway.tsx';

// The result of the first state is there at build time alone; the browser starts with the picture that stands in the page.
const firstResult = import.meta.env.SSR ? (await import('./first.ts')).firstResult : undefined;

/**
 * Makes a plate's model and view into the island that Plate.astro puts on the page: controls, picture, words, and what goes with them.
 *   export default plate(ray, ({ state, result, set }) => <Film … />);
 */
export function plate<S extends State, R>(definition: PlateDefinition<S, R>, View: ComponentType<ViewProps<S, R>>) {
  return function Plate() {
    const [wanted, setWanted] = useState<S>(definition.initial);
    const [specimen, setSpecimen] = useState<Specimen>(() => firstSpecimen(definition));
    const [shown, setShown] = useState<Outcome | undefined>();
    const [answered, setAnswered] = useState<Outcome | undefined>();
    const [failure, setFailure] = useState('');
    const [awake, setAwake] = useState(false);
    const [busy, setBusy] = useState(false);
    const patience = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
    const root = useRef<HTMLDivElement>(null);
    const desk = useRef<Desk | undefined>(undefined);
    const press = useRef<PointerEvent | undefined>(undefined);
    const now = useRef({ wanted, specimen });
    now.current = { wanted, specimen };

    /** Settings as a control, a drag or the address gives them. */
    const change = (wish: Partial<S>) => {
      const next = clean(definition, { ...now.current.wanted, ...wish }) as S;
      if (Object.keys(next).every((name) => next[name] === now.current.wanted[name])) return;
      now.current.wanted = next;
      setWanted(next);
      keepAddress(definition, next);
      order();
    };
    const order = () => {
      setAwake(true);
      clearTimeout(patience.current);
      patience.current = setTimeout(() => setBusy(desk.current!.busy()), 300);
      desk.current?.ask({ state: now.current.wanted, specimen: now.current.specimen });
    };
    // A picture is drawn as soon as it is there; a second one within the same frame waits for the next, and gives way to a newer one.
    const drawnThisFrame = useRef(false);
    const newest = useRef<Outcome | undefined>(undefined);
    const show = async (outcome: Outcome) => {
      newest.current = outcome;
      const needed = gettingReady();
      if (needed) await needed;
      if (drawnThisFrame.current) await new Promise(requestAnimationFrame);
      if (newest.current !== outcome) return;
      drawnThisFrame.current = true;
      requestAnimationFrame(() => (drawnThisFrame.current = false));
      clearTimeout(patience.current);
      setBusy(false);
      setAnswered(outcome);
      setFailure(outcome.failure ?? '');
      if (outcome.result !== undefined) setShown(outcome);
    };

    useEffect(() => {
      desk.current = openDesk(definition, show);
      void useKernels().catch(() => false); // for what proves quick enough for the page
      const given = readAddress(definition, location.search) as S;
      const linked = Object.keys(given).some((name) => given[name] !== definition.initial[name]);
      if (linked) {
        now.current.wanted = given;
        setWanted(given);
      }
      const take = async (id = chosenSpecimen(), force = false) => {
        const found = await findSpecimen(definition, id);
        if (found.key === now.current.specimen.key && !force) return;
        now.current.specimen = found;
        setSpecimen(found);
        order();
      };
      if (definition.specimens) void take(undefined, linked);
      else if (linked) order();
      const renewed = () => void take();
      const stop = definition.specimens ? followSpecimen((id) => void take(id)) : () => {};
      addEventListener('ownslice', renewed);
      addEventListener('pagehide', flushAddress);
      root.current!.dataset.ready = '';
      return () => {
        stop();
        removeEventListener('ownslice', renewed);
        removeEventListener('pagehide', flushAddress);
      };
    }, []);

    // The picture in the page gives way to the live one when the reader comes near, not before.
    const wake = (event: Event) => {
      if (event.type === 'pointerdown' && !shown) press.current = event as PointerEvent;
      if (!awake) order();
    };
    useLayoutEffect(() => {
      if (!shown) return;
      root.current!.dispatchEvent(new CustomEvent('plate:drawn', { bubbles: true, detail: { state: shown.state, sketch: shown.sketch ?? false } }));
      const early = press.current;
      press.current = undefined;
      // A finger that woke the plate is already down on what has just been replaced: hand the press on.
      if (early && early.target instanceof Element && !early.target.isConnected) document.elementFromPoint(early.clientX, early.clientY)?.dispatchEvent(new PointerEvent('pointerdown', early));
    }, [shown]);

    const state = (shown?.state ?? definition.initial) as S;
    const subject = shown?.specimen ?? specimen;
    const result = (shown ? shown.result : firstResult?.(definition)) as R | undefined;
    const hydrated = useHydrated();
    const view = useMemo(() => result !== undefined && <View state={state} result={result} specimen={subject} set={change} />, [shown]);
    const words = useMemo(() => (result === undefined || shown?.sketch ? undefined : definition.describe(state, result, subject)), [shown]);
    return (
      <div ref={root} class="plate-island" aria-busy={awake && (answered?.state !== wanted || answered.specimen !== specimen || answered.sketch === true)} onPointerEnter={wake} onPointerMove={awake ? undefined : wake} onPointerDown={wake} onFocusIn={wake}>
        {view ? <div class="plate-picture">{view}</div> : <div class="plate-picture" dangerouslySetInnerHTML={{ __html: '' }} />}
        {busy && <p class="plate-busy">Working …</p>}
        <Controls plate={definition} state={wanted} set={(wish) => change(wish as Partial<S>)} ready={hydrated}>
          {definition.specimens && <SpecimenPicker allowed={definition.specimens} specimen={specimen} choose={chooseSpecimen} />}
        </Controls>
        {failure && <p class="plate-failure" role="alert">{failure}</p>}
        <Words text={words} />
        <TakeAway plate={definition} shown={shown?.sketch ? undefined : shown} specimen={subject} reset={() => change(definition.initial)} order={order} ready={hydrated} />
      </div>
    );
  };
}

/** What the plate shows, in words: read out a quarter of a second after things come to rest. */
function Words({ text }: { text: string | undefined }) {
  const [said, say] = useState(text);
  useEffect(() => {
    if (text === undefined || text === said) return;
    const timer = setTimeout(() => say(text), 250);
    return () => clearTimeout(timer);
  }, [text]);
  return said === undefined ? <p class="plate-words" role="status" dangerouslySetInnerHTML={{ __html: '' }} /> : <p class="plate-words" role="status">{said}</p>;
}

function useHydrated(): boolean {
  const [hydrated, set] = useState(false);
  useEffect(() => set(true), []);
  return hydrated;
}
