/** The run sheet on paper: printed by the browser, and gone again. */
import { useEffect, useMemo } from 'preact/hooks';
import { createPortal } from 'preact/compat';
import { resumeAt, runSheet, type Plan } from '../../lib/index.ts';
import { figure } from '../scan/words.ts';

export function RunSheetPrint({ plan, onDone }: { plan: Plan; onDone: () => void }) {
  const sheet = useMemo(() => runSheet(plan), [plan]);
  useEffect(() => {
    document.documentElement.classList.add('printing-report');
    const done = () => { document.documentElement.classList.remove('printing-report'); onDone(); };
    addEventListener('afterprint', done, { once: true });
    const timer = setTimeout(() => print(), 100); // the page is laid out first
    return () => { clearTimeout(timer); removeEventListener('afterprint', done); document.documentElement.classList.remove('printing-report'); };
  }, []);
  const staged = sheet.frames.some(({ position }) => position !== undefined);
  const cools = sheet.frames.some(({ cool }) => cool !== undefined);
  const views = sheet.frames.filter(({ kind }) => kind === 'view');
  const example = resumeAt(sheet, views[Math.floor(views.length / 2)].number).slice(sheet.resume.length);
  return createPortal(
    <section class="photo-report bench-run-sheet">
      <h1>Run sheet: {sheet.title}</h1>
      <p>{new Date().toLocaleDateString(undefined, { day: 'numeric', month: 'long', year: 'numeric' })} · {views.length} frames of views; {clock(sheet.total)} from the first frame to the last, {plan.lamp ? 'the shutter open' : 'the beam on'} for {clock(sheet.beamOn)} of it{sheet.peakShare === undefined ? '' : `; the tube at ${figure(100 * sheet.peakShare, 2)} % of its limit at most, by estimate`}.</p>
      {sheet.cautions.map((sentence) => <p key={sentence} class="bench-run-caution">{sentence}</p>)}
      <h2>{plan.lamp ? 'Before the first photograph' : 'Before any power'}</h2>
      {sheet.checks.map(({ heading, lines }) => (
        <div key={heading}>
          <h3>{heading}</h3>
          <ul class="bench-ticks">{lines.map((line) => <li key={line}>{line}</li>)}</ul>
        </div>
      ))}
      <h2>Rests, dark and flat frames</h2>
      <ul>{[...sheet.rests, ...sheet.darkAndFlat].map((line) => <li key={line}>{line}</li>)}</ul>
      <h2>Frames</h2>
      <table>
        <thead><tr><th scope="col">☐</th><th scope="col">Frame</th><th scope="col">Name</th><th scope="col">Begins</th><th scope="col">Rest before</th><th scope="col">Angle</th>{staged && <th scope="col">Position</th>}{cools && <th scope="col">Cool before resuming</th>}<th scope="col">Note</th></tr></thead>
        <tbody>
          {sheet.frames.map(({ kind, number, name, begins, restBefore, angle, position, cool }) => (
            <tr key={`${kind} ${number}`}>
              <td>☐</td><td>{kind === 'view' ? number : `${kind} ${number}`}</td><td>{name}</td><td>{clock(begins)}</td><td>{clock(restBefore)}</td>
              <td>{angle === undefined ? '' : `${figure(angle, 6)}°`}</td>{staged && <td>{position ?? ''}</td>}{cools && <td>{cool === undefined ? '' : clock(cool)}</td>}<td />
            </tr>
          ))}
        </tbody>
      </table>
      <h2>Write down</h2>
      <table><tbody>{sheet.notes.map(({ what, planned }) => <tr key={what}><th scope="row">{what}</th><td>{planned === undefined ? '' : `planned: ${planned}`}</td><td class="bench-blank" /></tr>)}</tbody></table>
      <h2>After an upset at any frame</h2>
      <ol>{sheet.resume.map((line) => <li key={line}>{line}</li>)}</ol>
      <p>Then, at frame {views[Math.floor(views.length / 2)].number} for example:</p>
      <ul>{example.map((line) => <li key={line}>{line}</li>)}</ul>
    </section>,
    document.body,
  );
}

/** 65.5 s as 1:05.5, 3670 s as 1:01:10. */
export function clock(seconds: number): string {
  const tenths = Math.round(seconds * 10);
  const [hours, minutes, rest] = [Math.floor(tenths / 36_000), Math.floor((tenths % 36_000) / 600), (tenths % 600) / 10];
  const two = (value: number) => (value < 10 ? `0${value}` : String(value));
  return hours > 0 ? `${hours}:${two(minutes)}:${two(rest)}` : `${minutes}:${two(rest)}`;
}
