/** The bench: eight questions from an object to a run sheet. */
import { useErrorBoundary } from 'preact/hooks';
import { Later } from '../Later.tsx';
import { Complaint } from '../scan/fields.tsx';
import { Question } from '../scan/Question.tsx';
import { sentenceOf } from '../sentence.ts';
import { useUndoKeys } from '../undo-keys.ts';
import { AwayPart } from './AwayPart.tsx';
import { ComparePart } from './ComparePart.tsx';
import { DerivedPart } from './DerivedPart.tsx';
import { EnoughPart } from './EnoughPart.tsx';
import { ObjectPart } from './ObjectPart.tsx';
import { RehearsePart } from './RehearsePart.tsx';
import { RigPart, RunPart } from './RigPart.tsx';
import { useBench } from './useBench.ts';
import '../scan/scan.css';
import '../photographs/photographs.css';
import './bench.css';

/** The sheet, and what stands in its place should it ever fail: the plan that is kept could be the cause, and must not lock the reader out. */
export function BenchSheet() {
  const [failure] = useErrorBoundary();
  if (!failure) return <Questions />;
  return (
    <div class="scan-sheet">
      <p><Complaint>{sentenceOf(failure)}</Complaint></p>
      <p>Loading the page again may help. If it does not, the plan that is kept may be the cause:</p>
      <p><button type="button" onClick={() => { void import('./keep.ts').then((keep) => keep.forget()).finally(() => location.reload()); }}>Begin with the book’s own plan</button></p>
    </div>
  );
}

function Questions() {
  const state = useBench();
  const { ready, bench, volume, followed, complaints, unkept, set, undo, redo } = state;
  const { plan, past, future } = bench;
  const mistake = 'sentence' in followed ? followed.sentence : undefined;
  const missing = plan.object.kind === 'volume' && !volume ? 'The volume of your own is not here yet: bring it at question 1.' : undefined;
  const stands = mistake ?? missing;
  // A mistake across answers stands beside the field that it names, too.
  const faults = mistake ? Object.fromEntries([...mistake.matchAll(/\b([a-z]+(?:\.[a-zA-Z]+)+)\b/g)].slice(0, 1).map(([, path]) => [path, mistake])) : {};
  useUndoKeys(undo, redo);
  return (
    <div class="scan-sheet bench-page" data-ready={ready || undefined} inert={!ready}>
      {unkept && <p class="scan-row scan-note" role="status">{unkept}</p>}
      <Question number={1} title="What is to be scanned?">
        <p class="scan-buttons photo-edits">
          <button type="button" disabled={past.length === 0} onClick={undo}>Undo</button>
          <button type="button" disabled={future.length === 0} onClick={redo}>Redo</button>
        </p>
        <ObjectPart plan={plan} set={set} volume={volume} onVolume={(file) => void state.bringVolume(file)} fault={complaints.object ?? missing} />
      </Question>
      <Question number={2} title="With what?"><RigPart plan={plan} faults={faults} set={set} lay={state.lay} /></Question>
      <Question number={3} title={plan.lamp ? 'How?' : 'How, and who is near?'}><RunPart plan={plan} faults={faults} set={set} /></Question>
      <Question number={4} title="What follows"><Later><DerivedPart plan={plan} followed={followed} /></Later></Question>
      <Question number={5} title="Rehearse it"><RehearsePart state={state} stands={stands} /></Question>
      <Question number={6} title="What would be enough?"><EnoughPart state={state} stands={stands} /></Question>
      <Question number={7} title="Compare two plans"><ComparePart state={state} stands={stands} /></Question>
      <Question number={8} title="Take it away"><AwayPart state={state} /></Question>
    </div>
  );
}
