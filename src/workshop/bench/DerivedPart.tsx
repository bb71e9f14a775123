/** Question 4: what follows from the plan? */
import { planHeat, type DerivedFigure, type Plan, type XrayPlan } from '../../lib/index.ts';
import { Chart } from '../../widgets/chart/Chart.tsx';
import { Complaint } from '../scan/fields.tsx';
import { figure } from '../scan/words.ts';
import { asked as askedOf, groups } from './questions.ts';
import { SideDrawing } from './SideDrawing.tsx';
import type { Followed } from './useBench.ts';

const groupNames: Readonly<Record<DerivedFigure['group'], string>> = {
  geometry: 'Geometry', sharpness: 'Sharpness', views: 'Views', light: 'Light', slice: 'What a slice shows', tube: 'The tube', lamp: 'Time and care', stage: 'The turntable', room: 'What may reach a person',
};
const marks = { good: '✓ in its range', poor: '△ out of its good range', bad: '✕ cannot be so' } as const;

/** Of the room, no mark says that a figure is well: there is none that says so. */
const markWords = ({ group, mark }: DerivedFigure) => (mark === undefined ? '' : group === 'room' ? (mark === 'bad' ? '✕ too much' : '△ an estimate: measure it') : marks[mark]);

export function DerivedPart({ plan, followed }: { plan: Plan; followed: Followed }) {
  if ('sentence' in followed) return <p><Complaint>{followed.sentence}</Complaint></p>;
  const { figures, object } = followed;
  const poor = figures.filter(({ mark, group }) => mark === 'bad' || (mark === 'poor' && group !== 'room'));
  const names = (Object.keys(groupNames) as DerivedFigure['group'][]).filter((group) => figures.some((each) => each.group === group));
  return (
    <div class="bench-derived">
      <SideDrawing plan={plan} object={object} />
      <p class="scan-row" role="status">{poor.length === 0 ? plan.lamp ? 'Every figure lies in its good range.' : 'Every figure lies in its good range. That says nothing of radiation, high voltage or heat beyond the figures below.' : `Out of their good range: ${poor.map(({ label }) => label.toLowerCase()).join('; ')}.`}</p>
      {names.map((group) => (
        <table key={group} class="bench-figures">
          <caption>{groupNames[group]}</caption>
          <thead><tr><th scope="col">Figure</th><th scope="col">Value</th><th scope="col">Mark</th><th scope="col">In words</th></tr></thead>
          <tbody>{figures.filter((each) => each.group === group).map((each) => <Row key={each.key} derived={each} plan={plan} />)}</tbody>
        </table>
      ))}
      {!plan.lamp && <Heat plan={plan} />}
    </div>
  );
}

function Row({ derived, plan }: { derived: DerivedFigure; plan: Plan }) {
  const { label, value, unit, rule, mark, group, sentence, knob, parts } = derived;
  const alarming = mark === 'bad' || (mark === 'poor' && group !== 'room');
  return (
    <tr>
      <th scope="row">{label}</th>
      <td>{value === undefined ? '–' : `${figure(value, 3)} ${unit}`}</td>
      <td class={alarming ? 'bench-mark bench-poor' : 'bench-mark'}>{markWords(derived)}</td>
      <td>
        {sentence}
        {knob && alarming && <span class="bench-knob">What mends it: {knobWords(knob, plan)}.</span>}
        {parts && <span class="bench-rule">Made of: {Object.entries(parts).map(([name, part]) => `${name} ${figure(part, 3)}`).join(', ')}{unit ? ` (${unit})` : ''}.</span>}
        <details><summary>Rule</summary><span class="bench-rule">{rule}.</span></details>
      </td>
    </tr>
  );
}

/** `camera.fNumber` as the field is called, and which way. */
export function knobWords({ key, way }: NonNullable<DerivedFigure['knob']>, plan: Plan): string {
  const asked = Object.values(groups).map((group) => askedOf(group, plan)).flatMap(({ title, asks }) => asks.map((ask) => ({ title, ask }))).find(({ ask }) => ask.path.join('.') === key);
  return `${asked ? `“${asked.ask.label}” (${asked.title})` : key}, ${way === 'up' ? 'more' : 'less'}`;
}

function Heat({ plan }: { plan: XrayPlan }) {
  const heat = heatOf(plan);
  if (!heat) return null;
  const minutes = Array.from(heat.times, (time) => time / 60);
  return (
    <Chart title="Heat in the tube through the views" height={190} x={{ label: 'time', unit: 'min', domain: [0, minutes.at(-1)!] }} y={{ label: 'share of its limit, %', domain: [0, Math.max(100, 105 * heat.share)] }}
      series={[{ name: 'heat', x: minutes, y: Array.from(heat.heat, (joules) => (100 * joules) / plan.tube.heatLimit!), look: 'accent' }, { name: 'half of its limit', x: [0, minutes.at(-1)!], y: [50, 50], look: 'quiet' }]} />
  );
}

/** Where no rest can do it, or the plan tells nothing of the tube, there is no curve; the figures say why. */
function heatOf(plan: XrayPlan) {
  try {
    return planHeat(plan);
  } catch {
    return undefined;
  }
}
