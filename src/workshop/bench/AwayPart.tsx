/** Question 8: what do you take away? */
import { useState } from 'preact/hooks';
import { controllerListing, planToScan, runSheet, stepTableCsv, writePlan, writeScan } from '../../lib/index.ts';
import { DropPlace } from '../scan/Bring.tsx';
import { Complaint } from '../scan/fields.tsx';
import { fileName, save } from '../volume/pictures.ts';
import { plans } from './plans.ts';
import { RunSheetPrint } from './RunSheetPrint.tsx';
import type { BenchState } from './useBench.ts';

const bytes = (text: string) => new TextEncoder().encode(text);

export function AwayPart({ state }: { state: BenchState }) {
  const { bench: { plan }, complain, complaints, bringPlan, lay } = state;
  const [printing, setPrinting] = useState(false);
  const name = fileName(plan.title || 'plan');
  const take = (act: () => void) => () => {
    complain('away', undefined);
    try {
      act();
    } catch (error) {
      complain('away', error);
    }
  };
  const { stage } = plan;
  return (
    <>
      <table class="scan-away">
        <tbody>
          <tr><th scope="row"><button type="button" onClick={take(() => save('plan.json', bytes(writePlan(plan)), 'application/json'))}>plan.json</button></th><td>the plan: this sheet and the command line read it</td></tr>
          <tr><th scope="row"><button type="button" onClick={take(() => save('scan.json', bytes(writeScan(planToScan(plan, { reached: stage !== undefined }))), 'application/json'))}>scan.json</button></th><td>the scan file that the photographs will go with: distances, pixels, {stage ? 'the angles that the motor reaches' : 'angles'}; name them as it does, or change the names in it</td></tr>
          <tr><th scope="row"><button type="button" onClick={take(() => { runSheet(plan); setPrinting(true); })}>Print the run sheet…</button></th><td>what to check before {plan.lamp ? 'the first photograph' : 'any power'}, every frame with its time, angle and position, what to write down, how to go on after an upset</td></tr>
          <tr><th scope="row"><button type="button" disabled={!stage} onClick={take(() => save(`${name}-steps.csv`, bytes(stepTableCsv(plan)), 'text/csv'))}>{name}-steps.csv</button></th><td>{stage ? 'frames with time, angle, motor position and what is left of error' : 'needs a stepper motor in the plan'}</td></tr>
          <tr><th scope="row"><button type="button" disabled={!stage} onClick={take(() => save(`${name}-controller.cpp`, bytes(controllerListing(plan)), 'text/plain'))}>{name}-controller.cpp</button></th><td>{stage ? 'a listing in plain C++ for a small microcontroller: it turns the table, releases the camera and asks for exposures, keeps its place through a reset, and cannot override the interlock, which with a lamp is a stop switch' : 'needs a stepper motor in the plan'}</td></tr>
        </tbody>
      </table>
      <Complaint>{complaints.away}</Complaint>
      <DropPlace label="Lay a plan file here" hint="plan.json, from this sheet or written by hand. What lies here now can be had back with Undo." onFiles={(files) => files[0] && void bringPlan(files[0])} />
      <div class="scan-samples">
        <p>Or begin from one of these (invented):</p>
        {plans.map(({ id, title, plan: ready }) => <button type="button" key={id} onClick={() => lay(ready)}>{title}</button>)}
      </div>
      {printing && <RunSheetPrint plan={plan} onDone={() => setPrinting(false)} />}
    </>
  );
}
