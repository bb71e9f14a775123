/** Views out of a video: where the turn begins, where it is through, and how many to take between. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { Complaint, NumberField } from '../scan/fields.tsx';
import type { GivenFile } from '../scan/receive.ts';
import { figure } from '../scan/words.ts';
import { isStopped, sentenceOf } from '../sentence.ts';
import type { Film } from './video.ts';

interface Props { readonly file: GivenFile; readonly onPicked: (files: GivenFile[]) => void; readonly onClose: () => void }

export function FilmPicker({ file, onPicked, onClose }: Props) {
  const [film, setFilm] = useState<Film>();
  const [notes, setNotes] = useState<readonly string[]>([]);
  const [from, setFrom] = useState(0);
  const [to, setTo] = useState(0);
  const [count, setCount] = useState(90);
  const [trouble, setTrouble] = useState<string>();
  const [picking, setPicking] = useState<{ fraction: number; stop: () => void }>();
  useEffect(() => {
    let opened: Film | undefined;
    let gone = false;
    void (async () => {
      try {
        const { openFilm, unevenSentence } = await import('./video.ts');
        opened = await openFilm(file.blob ?? new Blob([(await file.bytes()) as Uint8Array<ArrayBuffer>]), file.name);
        if (gone) { opened.close(); return; }
        setFilm(opened);
        setTo(Number(opened.seconds.toFixed(3)));
        setNotes([
          ...[unevenSentence(opened)].filter((sentence) => sentence !== undefined),
          ...(opened.highRange ? ['It was filmed in high dynamic range, whose greys are mapped to 8 bits in a way that nobody states: film in standard range for numbers that hold.'] : []),
        ]);
      } catch (error) {
        setTrouble(sentenceOf(error));
      }
    })();
    return () => { gone = true; opened?.close(); };
  }, [file]);

  const pick = async () => {
    if (!film) return;
    const control = new AbortController();
    const stop = () => control.abort(new DOMException('stopped', 'AbortError'));
    setPicking({ fraction: 0, stop });
    setTrouble(undefined);
    try {
      const files: GivenFile[] = [];
      for await (const { name, bytes } of film.pick({ from, to, count }, { signal: control.signal, progress: (fraction) => setPicking({ fraction, stop }) })) {
        const blob = new Blob([bytes as Uint8Array<ArrayBuffer>], { type: 'image/png' });
        files.push({ name: `${file.name}/${name}`, size: blob.size, blob, bytes: async () => bytes });
      }
      onPicked(files);
    } catch (error) {
      if (!isStopped(error)) setTrouble(sentenceOf(error));
    } finally {
      setPicking(undefined);
    }
  };
  const fault = !film ? undefined : !(from >= 0 && to > from && to <= film.seconds + 1e-6) ? `The turn has to begin and end within the video, from 0 to ${figure(film.seconds)} s.` : undefined;
  return (
    <fieldset class="photo-film">
      <legend>Views out of {file.name}</legend>
      {!film && !trouble && <p class="scan-row" role="status">Reading…</p>}
      {film && (
        <>
          <p class="scan-row">{figure(film.seconds)} s, {figure(film.rate, 3)} frames a second, {film.width} × {film.height} pixels. Mark where the turn begins and where the first view comes again; the views are taken evenly between, and the end mark is not taken. Camera and exposure must have stood still while filming.</p>
          {notes.map((note) => <p key={note} class="scan-row scan-note">{note}</p>)}
          <div class="scan-wide">
            <Mark label="The turn begins at" film={film} value={from} onValue={setFrom} />
            <Mark label="The first view comes again at" film={film} value={to} onValue={setTo} />
            <div>
              <NumberField label="Views to take" value={count} step={1} fault={count >= 8 && Number.isInteger(count) ? undefined : 'A whole number from 8 is needed.'} onValue={setCount} />
              <Complaint>{fault}</Complaint>
            </div>
          </div>
        </>
      )}
      <Complaint>{trouble}</Complaint>
      <p class="scan-buttons">
        {film && !picking && <button type="button" class="scan-chief" disabled={fault !== undefined} onClick={() => void pick()}>Take the views</button>}
        {picking && <button type="button" onClick={picking.stop}>Stop</button>}
        {picking && <progress value={picking.fraction} max={1} aria-label="Taking the views" />}
        <button type="button" onClick={onClose}>Leave the video</button>
      </p>
    </fieldset>
  );
}

/** A moment of the video with the frame that is there. */
function Mark({ label, film, value, onValue }: { label: string; film: Film; value: number; onValue: (value: number) => void }) {
  const [shown, setShown] = useState<string>();
  const latest = useRef(0);
  useEffect(() => {
    const mine = ++latest.current;
    const timer = setTimeout(() => {
      film.frameAt(Math.max(0, Math.min(value, film.seconds)), 360).then((blob) => { if (mine === latest.current) setShown((before) => { if (before) URL.revokeObjectURL(before); return URL.createObjectURL(blob); }); }, () => {});
    }, 80);
    return () => clearTimeout(timer);
  }, [film, value]);
  return (
    <div class="photo-mark">
      <NumberField label={label} value={value} step={1 / film.rate} unit="s" onValue={onValue} />
      <input type="range" aria-label={label} min={0} max={film.seconds} step={1 / film.rate} value={value} onInput={(event) => onValue(Number(event.currentTarget.value))} />
      {shown && <img src={shown} alt={`The video at ${figure(value)} s`} />}
    </div>
  );
}
