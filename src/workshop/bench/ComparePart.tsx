/** Question 7: which of two plans? */
import type { DerivedFigure } from '../../lib/index.ts';
import { Complaint } from '../scan/fields.tsx';
import { figure } from '../scan/words.ts';
import { Progress } from '../Progress.tsx';
import { Figures } from './RehearsePart.tsx';
import type { BenchState } from './useBench.ts';

export function ComparePart({ state, stands }: { state: BenchState; stands?: string }) {
  const { bench, busy, trials, followed, otherFollowed, compareWith, exchange, rehearse } = state;
  if (!bench.other) {
    return (
      <>
        <p class="scan-row">Keep the plan as it is now as the other one. Then change what you like above: both stand side by side here.</p>
        <p class="scan-buttons"><button type="button" onClick={() => compareWith(bench.plan)}>Keep this plan to compare with</button></p>
      </>
    );
  }
  const [own, other] = [followed, otherFollowed];
  return (
    <>
      <p class="scan-buttons">
        <button type="button" onClick={() => exchange()}>Exchange the two</button>
        <button type="button" onClick={() => compareWith(bench.plan)}>Keep the plan as it is now instead</button>
        <button type="button" class="quiet" onClick={() => compareWith(undefined)}>Compare no longer</button>
      </p>
      {own && other && 'figures' in own && 'figures' in other ? <Table own={own.figures} other={other.figures} /> : <p><Complaint>{own && 'sentence' in own ? own.sentence : other && 'sentence' in other ? `The other plan: ${other.sentence}` : undefined}</Complaint></p>}
      <p class="scan-go"><button type="button" disabled={stands !== undefined || busy !== undefined} onClick={() => void rehearseBoth()}>Rehearse both</button></p>
      <Progress busy={busy} place="compare" />
      <Complaint>{state.complaints.compare}</Complaint>
      {trials.own && trials.other && trials.own.plan === bench.plan && trials.other.plan === bench.other && <Figures trials={[trials.own, trials.other]} names={['this plan', 'the other']} />}
    </>
  );

  async function rehearseBoth(): Promise<void> {
    const size = trials.own?.size ?? 128;
    if (!(trials.own && trials.own.plan === bench.plan)) if (!(await rehearse(size, 'own', 'compare'))) return;
    if (!(trials.other && trials.other.plan === bench.other && trials.other.size === size)) await rehearse(size, 'other', 'compare');
  }
}

function Table({ own, other }: { own: readonly DerivedFigure[]; other: readonly DerivedFigure[] }) {
  const keys = [...new Map([...own, ...other].map((each) => [each.key, each])).values()].filter(({ value, mark }) => value !== undefined || mark !== undefined);
  const say = (figures: readonly DerivedFigure[], key: string) => {
    const found = figures.find((each) => each.key === key);
    return found === undefined ? '–' : found.value === undefined ? (found.mark === undefined ? '–' : 'cannot be') : `${figure(found.value, 3)} ${found.unit}`;
  };
  return (
    <table class="bench-figures">
      <caption>What follows from each; what differs is set in bold</caption>
      <thead><tr><th scope="col">Figure</th><th scope="col">this plan</th><th scope="col">the other</th></tr></thead>
      <tbody>
        {keys.map(({ key, label }) => {
          const [mine, theirs] = [say(own, key), say(other, key)];
          const differs = mine !== theirs;
          return <tr key={key}><th scope="row">{label}</th><td>{differs ? <strong>{mine}</strong> : mine}</td><td>{differs ? <strong>{theirs}</strong> : theirs}</td></tr>;
        })}
      </tbody>
    </table>
  );
}
