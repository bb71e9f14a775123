/** The solid picture as it stands on the page: turned by dragging and by keys, turning by itself, filmed, saved. */
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { Point3, Volume } from '../../lib/index.ts';
import type { ColourMap } from '../../widgets/film/grey.ts';
import { barLength, short } from '../../widgets/film/numbers.ts';
import { Complaint, NumberField } from '../scan/fields.tsx';
import type { Greys } from '../scan/model.ts';
import type { Darkroom } from './darkroom.ts';
import { cameraOf, type Look } from './look.ts';
import type { Facing, SolidView } from './model.ts';
import { context, drawBar, fileName, pngOf, save } from './pictures.ts';
import { openPace, type Pace } from './pace.ts';
import { middleOf, reach } from './planes.ts';
import type { Stage } from './scene.ts';
import { isStopped, sentenceOf } from '../sentence.ts';
import type { Surface } from './worker.ts';

interface Props {
  readonly volume: Volume;
  readonly title: string;
  readonly heading: string;
  readonly darkroom: Darkroom;
  readonly solid: SolidView;
  readonly look: Look;
  readonly greys: Greys;
  readonly map: ColourMap;
  readonly surface?: Surface;
  readonly onFacing: (facing: Facing) => void;
  readonly onZoom: (zoom: number) => void;
  /** Why there can be no picture here. */
  readonly onFailure: (why: string) => void;
}

/** Voxels that are sent to the graphics card at most: 64 MB of them. */
const most = 32 << 20;
const aspect = 4 / 3;
/** One turn by itself, s. */
const aTurn = 12;
const framesASecond = 25;

export function Turntable(props: Props) {
  const { volume, title, heading, darkroom, solid, surface, onFacing, onZoom, onFailure } = props;
  const panel = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const stage = useRef<Stage>();
  const now = useRef(props);
  now.current = props;
  const [ready, setReady] = useState(false);
  const [width, setWidth] = useState(0);
  const [every, setEvery] = useState(1);
  const [trouble, setTrouble] = useState<string>();
  const [turning, setTurning] = useState(false);
  const [filming, setFilming] = useState<number>();
  const [seconds, setSeconds] = useState(8);

  // The stage, its library and the texture: loaded once.
  useEffect(() => {
    let gone = false;
    const element = canvas.current!;
    const lost = (event: Event) => {
      event.preventDefault();
      if (!gone) onFailure('The graphics card gave up the picture');
    };
    element.addEventListener('webglcontextlost', lost);
    void (async () => {
      try {
        const { openStage } = await import('./scene.ts');
        if (gone) return;
        const opened = openStage(element, volume, sizeOf(panel.current!.clientWidth));
        stage.current = opened;
        const texture = await darkroom.ask({ kind: 'texture', mostAlong: opened.mostAlong, most });
        if (gone) return;
        opened.setTexture(texture);
        setEvery(texture.every);
        await opened.prepare();
        if (!gone) setReady(true);
      } catch (error) {
        if (!gone && !isStopped(error)) onFailure(error instanceof Error ? error.message : String(error));
      }
    })();
    return () => {
      gone = true;
      setReady(false);
      stage.current?.close();
      stage.current = undefined;
    };
  }, [volume, darkroom]);
  useLayoutEffect(() => {
    const watch = new ResizeObserver(([{ contentRect }]) => setWidth(Math.round(contentRect.width)));
    watch.observe(panel.current!);
    return () => watch.disconnect();
  }, []);
  useEffect(() => { if (ready) stage.current?.setSurface(surface); }, [ready, surface]);

  const draw = (facing: Facing, fineness: number) => {
    const { look, greys, map, solid: { shows, projection, zoom } } = now.current;
    const camera = cameraOf(volume, { facing, projection, zoom }, ...sizeOf(width));
    stage.current!.draw({ shows, look, camera, greys, map, fineness });
    canvas.current!.style.transform = `scale(${1 / fineness})`;
    placeLetters(panel.current!, stage.current!, volume);
    return camera;
  };

  const pace = useRef<Pace<Facing>>();
  useEffect(() => {
    if (!ready) return;
    const opened = stage.current!;
    pace.current = openPace(async (facing, fineness) => {
      draw(facing, fineness);
      await opened.settled();
    }, (error) => setTrouble(sentenceOf(error)));
    return () => pace.current?.close();
  }, [ready]);
  useEffect(() => {
    if (ready && width > 0 && !turning && filming === undefined) pace.current?.want(solid.facing);
  }, [ready, width, turning, filming === undefined, solid, props.look, props.greys, props.map, surface]);

  // Turning by itself; the state hears of it when it stops.
  useEffect(() => {
    if (!turning || !ready) return;
    const from = now.current.solid.facing;
    const began = performance.now();
    const turnAt = (time: number) => around(from.turn + (360 * (time - began)) / 1000 / aTurn);
    let frame = requestAnimationFrame(function next(time) {
      pace.current?.want({ ...from, turn: turnAt(time) });
      frame = requestAnimationFrame(next);
    });
    return () => {
      cancelAnimationFrame(frame);
      now.current.onFacing({ ...from, turn: Math.round(turnAt(performance.now())) });
    };
  }, [turning, ready]);

  const picture = async () => {
    try {
      const paper = context(1, 1);
      compose(paper, canvas.current!, draw(solid.facing, 1).field, solid);
      save(`${fileName(title)}-solid.png`, await pngOf(paper.canvas));
    } catch (error) {
      setTrouble(sentenceOf(error));
    }
  };
  const stopFilm = useRef<() => void>(() => {});
  const film = async () => {
    setTurning(false);
    setTrouble(undefined);
    try {
      const blob = await filmed(seconds, async (facing, paper) => {
        const { field } = draw(facing, 1);
        compose(paper, canvas.current!, field, now.current.solid);
        await stage.current!.settled();
      }, solid.facing, setFilming, (stop) => { stopFilm.current = stop; });
      if (blob) save(`${fileName(title)}-turning.webm`, blob);
    } catch (error) {
      setTrouble(sentenceOf(error));
    } finally {
      setFilming(undefined);
    }
  };
  useEffect(() => () => stopFilm.current(), []);

  const hold = useRef<{ x: number; y: number; facing: Facing }>();
  const press = (event: PointerEvent) => {
    if (event.button !== 0 || filming !== undefined) return;
    setTurning(false);
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    hold.current = { x: event.clientX, y: event.clientY, facing: solid.facing };
  };
  const drag = (event: PointerEvent) => {
    const from = hold.current;
    if (!from) return;
    const degrees = 240 / Math.max(1, width);
    onFacing({ turn: around(from.facing.turn - degrees * (event.clientX - from.x)), tilt: within(from.facing.tilt + degrees * (event.clientY - from.y)) });
  };
  const keys = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey || filming !== undefined) return;
    const by = event.shiftKey ? 45 : 5;
    const { facing, zoom } = solid;
    const acts: Record<string, () => void> = {
      ArrowLeft: () => onFacing({ ...facing, turn: around(facing.turn + by) }), ArrowRight: () => onFacing({ ...facing, turn: around(facing.turn - by) }),
      ArrowUp: () => onFacing({ ...facing, tilt: within(facing.tilt - by) }), ArrowDown: () => onFacing({ ...facing, tilt: within(facing.tilt + by) }),
      '+': () => onZoom(Math.min(10, zoom * 1.25)), '-': () => onZoom(Math.max(0.5, zoom / 1.25)),
    };
    const act = acts[event.key];
    if (!act) return;
    event.preventDefault();
    setTurning(false);
    act();
  };

  const field = cameraOf(volume, solid, width || 400, (width || 400) / aspect).field * aspect;
  const bar = barLength(field);
  const noFilm = typeof MediaRecorder === 'undefined' || !kindOfFilm();
  return (
    <>
      <div class="film">
        <p class="film-title">{heading}</p>
        <div ref={panel} class={`film-panel film-drag volume-stage${solid.shows === 'sum' ? ' volume-bright' : ''}`} style={{ aspectRatio: String(aspect) }} tabIndex={0} role="application"
          aria-label={`The solid picture: ${heading}. Arrow keys turn it, plus and minus bring it closer or farther`}
          onPointerDown={press} onPointerMove={drag} onPointerUp={() => { hold.current = undefined; }} onPointerCancel={() => { hold.current = undefined; }} onKeyDown={keys}>
          <canvas ref={canvas} role="img" aria-label={`${heading}, seen from ${Math.round(solid.facing.turn)}° about z and ${Math.round(solid.facing.tilt)}° above`} />
          {ready && ['x', 'y', 'z'].map((letter) => <span class="film-label volume-letter" data-axis={letter} aria-hidden="true">{letter}</span>)}
          {ready && <span class="film-bar" style={{ width: `${(100 * bar) / field}%` }}>{short(bar)} mm</span>}
          {!ready && <p class="volume-loading" role="status">Loading the solid picture…</p>}
        </div>
      </div>
      <p class="scan-why">
        Drag it, or press <kbd>←</kbd> <kbd>→</kbd> <kbd>↑</kbd> <kbd>↓</kbd> on it (<kbd>Shift</kbd>: an eighth of a turn), <kbd>+</kbd> and <kbd>−</kbd> for closer and farther.
        {solid.projection === 'perspective' && ' The bar holds for the middle of the object.'}
        {every > 1 && ` For the graphics card the volume was made coarser: ${every} × ${every} × ${every} voxels in one.`}
      </p>
      <div class="volume-film">
        <button type="button" disabled={!ready || filming !== undefined} aria-pressed={turning} onClick={() => setTurning(!turning)}>{turning ? 'Hold it' : 'Let it turn'}</button>
        <button type="button" disabled={!ready || filming !== undefined} onClick={() => void picture()}>Save the picture, PNG</button>
        {filming === undefined
          ? <button type="button" disabled={!ready || noFilm} onClick={() => void film()}>Film one turn, WebM</button>
          : <><button type="button" onClick={() => stopFilm.current()}>Stop filming</button> <progress value={filming} aria-label="How far the film has come" /></>}
        <NumberField label="A turn takes" value={seconds} step={1} unit="s" disabled={filming !== undefined || noFilm} fault={seconds >= 1 && seconds <= 60 ? undefined : 'Between 1 and 60 s.'} onValue={setSeconds} />
      </div>
      {noFilm && <p class="scan-why">This browser cannot make a WebM film; save pictures instead.</p>}
      <Complaint>{trouble}</Complaint>
    </>
  );
}

/** Of the canvas, for a width in CSS pixels. */
function sizeOf(width: number): [width: number, height: number] {
  const pixels = Math.max(1, Math.round(width * Math.min(2, devicePixelRatio)));
  return [pixels, Math.max(1, Math.round(pixels / aspect))];
}

const around = (turn: number) => ((((turn + 180) % 360) + 360) % 360) - 180;
const within = (tilt: number) => Math.min(90, Math.max(-90, tilt));

/** The letters of the axes, at the ends of the box. */
function placeLetters(panel: HTMLElement, stage: Stage, volume: Volume): void {
  const middle = middleOf(volume), half = reach(volume);
  const corner: Point3 = [middle[0] - half[0], middle[1] - half[1], middle[2] - half[2]];
  for (const letter of panel.querySelectorAll<HTMLElement>('[data-axis]')) {
    const axis = 'xyz'.indexOf(letter.dataset.axis!);
    const [left, top] = stage.placeOf(corner.map((at, i) => (i === axis ? at + 2.12 * half[i] : at)) as unknown as Point3);
    Object.assign(letter.style, { left: `${100 * left}%`, top: `${100 * top}%` });
  }
}

/** The picture and its bar on one canvas. field: mm from bottom to top. */
function compose(paper: CanvasRenderingContext2D, picture: HTMLCanvasElement, field: number, { shows }: SolidView): void {
  const { width, height } = picture;
  if (paper.canvas.width !== width || paper.canvas.height !== height) Object.assign(paper.canvas, { width, height });
  paper.drawImage(picture, 0, 0);
  drawBar(paper, field / height, shows === 'sum');
}

/** The one that is quickest to make comes first: frames that the machine has no time to pack are lost. */
const kindOfFilm = () => ['video/webm;codecs=vp8', 'video/webm;codecs=vp9', 'video/webm'].find((type) => MediaRecorder.isTypeSupported(type));

/**
 * One turn as a film of even steps. The recorder's clock stands still while a frame is drawn, so that the film is as long as it should be
 * on a slow machine too; making it then takes longer. Nothing when stopped.
 */
async function filmed(seconds: number, drawFrame: (facing: Facing, paper: CanvasRenderingContext2D) => Promise<void>, from: Facing, progress: (fraction: number) => void, stoppable: (stop: () => void) => void): Promise<Blob | undefined> {
  const paper = context(16, 16);
  await drawFrame(from, paper);
  const parts: Blob[] = [];
  const stream = paper.canvas.captureStream(0);
  const track = stream.getVideoTracks()[0] as CanvasCaptureMediaStreamTrack;
  const recorder = new MediaRecorder(stream, { mimeType: kindOfFilm(), videoBitsPerSecond: 8e6 });
  recorder.addEventListener('dataavailable', ({ data }) => { if (data.size > 0) parts.push(data); });
  const ended = new Promise<void>((resolve, reject) => {
    recorder.addEventListener('stop', () => resolve());
    recorder.addEventListener('error', () => reject(new Error('the browser could not go on filming')));
  });
  let stopped = false;
  stoppable(() => { stopped = true; });
  recorder.start();
  const frames = Math.round(seconds * framesASecond);
  for (let i = 0; i < frames && !stopped; i++) {
    progress(i / frames);
    recorder.pause();
    await drawFrame({ ...from, turn: around(from.turn + (360 * i) / frames) }, paper);
    recorder.resume();
    track.requestFrame();
    await new Promise((resolve) => setTimeout(resolve, 1000 / framesASecond));
  }
  recorder.stop();
  await ended;
  if (stopped) return undefined;
  const film = new Blob(parts, { type: 'video/webm' });
  if (film.size < 100) throw new RangeError('The film came out empty: this browser packed none of its frames. Save pictures instead.');
  return film;
}
