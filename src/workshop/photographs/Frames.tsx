/** Question 1: which photographs? The list of scans, the place to lay files, the contact sheet. */
import { useMemo, useState } from 'preact/hooks';
import { DropPlace } from '../scan/Bring.tsx';
import { Complaint } from '../scan/fields.tsx';
import { counted, weighed } from '../scan/words.ts';
import { ContactSheet } from './ContactSheet.tsx';
import { FilmPicker } from './FilmPicker.tsx';
import type { Entry } from './keep.ts';
import { framesOf, viewsOf, type Roll } from './model.ts';
import { Progress } from '../Progress.tsx';
import { samples } from './samples.ts';
import type { Photographs } from './usePhotographs.ts';

interface Props { readonly photographs: Photographs; readonly onSample: (id: string) => void; readonly onTour: () => void }

export function Frames({ photographs, onSample, onTour }: Props) {
  const { roll, shelf, busy, complaints, said, film, bring, closeFilm, history, undo, redo, facts, edit } = photographs;
  // Not drawn again with every step of the progress: it may hold thousands.
  const sheet = useMemo(() => roll && roll.frames.length > 0 && <ContactSheet key={roll.id} roll={roll} facts={facts} edit={edit} />, [roll, facts]);
  return (
    <>
      {shelf.length > 0 && <Shelf photographs={photographs} />}
      <DropPlace label={roll && roll.frames.length > 0 ? 'Lay more photographs here' : 'Lay your photographs here'} folders
        hint="A folder, the photographs themselves (JPEG, PNG, TIFF, WebP), a ZIP of them, or a video of the turn; with them a scan file, if there is one. Pictures with “dark” or “flat” in their name or folder are taken for dark and flat frames."
        onFiles={(files) => void bring(files)} />
      {film && <FilmPicker file={film} onPicked={(files) => { closeFilm(); void bring(files); }} onClose={closeFilm} />}
      <Progress busy={busy} place="frames" />
      <Complaint>{complaints.frames}</Complaint>
      <p class="scan-row" role="status">{roll ? described(roll) : 'Nothing lies here yet.'}{said ? ` ${said}` : ''}</p>
      {roll && roll.frames.length > 0 && (
        <>
          <p class="scan-buttons photo-edits">
            <button type="button" disabled={!history || history.past.length === 0} onClick={undo}>Undo</button>
            <button type="button" disabled={!history || history.future.length === 0} onClick={redo}>Redo</button>
          </p>
          {sheet}
        </>
      )}
      <div class="scan-samples">
        <p>Nothing at hand? These photographs are invented, made with the book’s own library; one click makes the volume too:</p>
        {samples.map(({ id, title }) => <button type="button" key={id} onClick={() => onSample(id)}>{title}</button>)}
        <button type="button" class="quiet" onClick={onTour}>Show me round</button>
      </div>
      <p class="scan-kept">What you bring and what is made of it is kept in this browser, so that it is still here when you come back, even if the page was closed in the middle. It is sent nowhere.</p>
    </>
  );
}

function Shelf({ photographs: { shelf, roll, open, close, remove } }: { photographs: Photographs }) {
  const [asked, setAsked] = useState<string>();
  const described = (entry: Entry) => `${counted(entry.photographs, 'photograph')}, ${weighed(entry.bytes)}, ${new Date(entry.changed).toLocaleDateString(undefined, { day: 'numeric', month: 'long', year: 'numeric' })}`;
  return (
    <details class="photo-shelf" open={!roll}>
      <summary>{counted(shelf.length, 'scan')} kept in this browser, {weighed(shelf.reduce((sum, { bytes }) => sum + bytes, 0))}</summary>
      <table>
        <tbody>
          {shelf.map((entry) => (
            <tr key={entry.id}>
              <th scope="row">{entry.title || 'without a title'}{roll?.id === entry.id ? ' (open)' : ''}</th>
              <td>{described(entry)}</td>
              <td class="scan-buttons">
                {asked === entry.id ? (
                  <>
                    <button type="button" onClick={() => { setAsked(undefined); void remove(entry.id); }}>Yes, delete for good</button>
                    <button type="button" onClick={() => setAsked(undefined)}>Keep it</button>
                  </>
                ) : (
                  <>
                    {roll?.id !== entry.id && <button type="button" onClick={() => void open(entry.id)}>Open<span class="unseen"> {entry.title}</span></button>}
                    <button type="button" onClick={() => setAsked(entry.id)}>Delete…<span class="unseen"> {entry.title}</span></button>
                  </>
                )}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {roll && <p class="scan-row"><button type="button" onClick={() => void close()}>Begin another scan</button></p>}
    </details>
  );
}

function described(roll: Roll): string {
  const views = viewsOf(roll), out = viewsOf(roll, true).length - views.length;
  const parts = [`${counted(views.length, 'view')}${out > 0 ? ` (${out} left out)` : ''}`, `${framesOf(roll, 'dark').length} dark`, `${framesOf(roll, 'flat').length} flat`];
  const aside = framesOf(roll, 'aside').length;
  if (aside > 0) parts.push(`${aside} set aside`);
  const size = roll.size ? ` of ${roll.size.width} × ${roll.size.height} pixels` : '';
  const weight = roll.frames.reduce((sum, { bytes }) => sum + bytes, 0);
  return `${parts.join(', ')}${size}; ${weighed(weight)} in ${counted(roll.frames.length, 'file')}.${roll.sample ? ' An invented scan.' : ''}`;
}
