/** Question 1: what did you bring? */
import { useRef, useState } from 'preact/hooks';
import { givenFrom, givenFromDrop } from './dropped.ts';
import { Complaint } from './fields.tsx';
import type { Brought, Sheet } from './model.ts';
import type { GivenFile } from './receive.ts';
import { samples, type Sample } from './samples.ts';
import { figure, listed } from './words.ts';

interface Props {
  readonly sheet: Sheet;
  readonly reading: boolean;
  readonly onFiles: (files: GivenFile[], sample?: string) => void;
  readonly onPage: (page: number) => void;
  readonly onForget: () => void;
}

export function Bring({ sheet, reading, onFiles, onPage, onForget }: Props) {
  const { brought, complaints } = sheet;
  return (
    <>
      <DropPlace label="Lay your scan here" hint="A sinogram as NPY, CSV, TSV, PNG or TIFF; or a scan file with the numbers that it names; or their folder." folders onFiles={onFiles} />
      <p class="scan-row" role="status">{reading ? 'Reading…' : brought ? described(brought) : 'Nothing lies here yet.'}</p>
      <Complaint>{complaints.brought}</Complaint>
      {brought && brought.pages.length > 1 && (
        <label class="scan-row">Page{' '}
          <select value={brought.page} onChange={(event) => onPage(Number(event.currentTarget.value))}>
            {brought.pages.map((_, page) => <option value={page} key={page}>{page + 1} of {brought.pages.length}</option>)}
          </select>
        </label>
      )}
      {samples.length > 0 && <Samples onPick={(sample) => onFiles(sample.files(), sample.id)} />}
      <p class="scan-kept">What you bring, and the slice that comes of it, is kept in this browser so that it is still here when you come back. It is sent nowhere.</p>
      <p class="scan-row"><button type="button" disabled={!brought && !sheet.beside} onClick={onForget}>Forget everything</button></p>
    </>
  );
}

function Samples({ onPick }: { onPick: (sample: Sample) => void }) {
  return (
    <div class="scan-samples">
      <p>Nothing at hand? These scans are invented, made with the book’s own library:</p>
      {samples.map((sample) => <button type="button" key={sample.id} onClick={() => onPick(sample)}>{sample.title}</button>)}
    </div>
  );
}

interface DropPlaceProps {
  readonly label: string;
  readonly hint: string;
  readonly folders?: boolean;
  readonly onFiles: (files: GivenFile[]) => void;
}

/** A place to drop files on, and buttons for those who do not drag. */
export function DropPlace({ label, hint, folders = false, onFiles }: DropPlaceProps) {
  const [over, setOver] = useState(false);
  const files = useRef<HTMLInputElement>(null), folder = useRef<HTMLInputElement>(null);
  const drop = async (event: DragEvent) => {
    event.preventDefault();
    setOver(false);
    if (event.dataTransfer) onFiles(await givenFromDrop(event.dataTransfer));
  };
  const chosen = ({ currentTarget: input }: { currentTarget: HTMLInputElement }) => {
    if (input.files?.length) onFiles(givenFrom(input.files));
    input.value = '';
  };
  return (
    <div class={over ? 'scan-drop scan-over' : 'scan-drop'} onDragOver={(event) => { event.preventDefault(); setOver(true); }} onDragLeave={() => setOver(false)} onDrop={drop}>
      <p class="scan-drop-label">{label}</p>
      <p class="scan-hint">{hint}</p>
      <p class="scan-buttons">
        <button type="button" onClick={() => files.current!.click()}>Choose {folders ? 'files' : 'a file'}…</button>
        {folders && <button type="button" onClick={() => folder.current!.click()}>Choose a folder…</button>}
      </p>
      <input ref={files} type="file" hidden multiple={folders} aria-label={label} onChange={chosen} />
      {folders && <input ref={folder} type="file" hidden multiple {...{ webkitdirectory: true }} aria-label={`${label}: a folder`} onChange={chosen} />}
    </div>
  );
}

function described({ name, scanName, pages, page, unused, sample }: Brought): string {
  const { rows, columns, data } = pages[page];
  let least = Infinity, most = -Infinity;
  for (const value of data) { if (value < least) least = value; if (value > most) most = value; }
  const origin = sample ? ` (the sample ${sample}, invented)` : '';
  const beside = unused.length === 0 ? '' : ` Not needed: ${listed(unused.slice(0, 5))}${unused.length > 5 ? ' and more' : ''}.`;
  return `${name}${scanName ? ` with ${scanName}` : ''}${origin}: ${rows} rows of ${columns} numbers, from ${figure(least)} to ${figure(most)}.${beside}`;
}
