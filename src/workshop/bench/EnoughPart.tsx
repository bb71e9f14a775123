/** Question 6: what would be enough? */
import { useState } from 'preact/hooks';
import type { Enough, Material } from '../../lib/index.ts';
import { Choice, Complaint } from '../scan/fields.tsx';
import { figure } from '../scan/words.ts';
import { Progress } from '../Progress.tsx';
import { MaterialField } from './ObjectPart.tsx';
import { QuantityField } from './QuantityField.tsx';
import type { BenchState } from './useBench.ts';

export function EnoughPart({ state, stands }: { state: BenchState; stands?: string }) {
  const { bench, busy, complaints, enough, lay } = state;
  const [detail, setDetail] = useState(1);
  const [by, setBy] = useState<'material' | 'number'>('material');
  const [material, setMaterial] = useState<Material>('wood');
  const [against, setAgainst] = useState<Material>();
  const [contrast, setContrast] = useState(0.01);
  const [cnr, setCnr] = useState(5);
  const [found, setFound] = useState<{ readonly answer: Enough; readonly plan: typeof bench.plan }>();
  const byNumber = bench.plan.lamp !== undefined || by === 'number';
  const look = async () => {
    setFound(undefined);
    const answer = await enough({ detail, cnr, contrast: byNumber ? contrast : { material, ...(against ? { against } : {}) } });
    if (answer) setFound({ answer, plan: bench.plan });
  };
  return (
    <>
      <p class="scan-row">Say what must be seen. Views, exposure, binning and magnification are then chosen so that it is, in the least time; {bench.plan.lamp ? 'lamp, lens and camera' : 'tube, filters, screen, camera and room'} stay as they are. The formulas of question 4 decide; rehearse the answer before you believe it.</p>
      <div class="bench-groups">
        <QuantityField label="The smallest detail" kind="length" value={detail} above={0} onValue={(value) => value !== undefined && setDetail(value)} />
        <div>
          {!bench.plan.lamp && <Choice label="It differs from what is around it" value={by} onValue={setBy} options={[{ value: 'material', label: 'as one material from another' }, { value: 'number', label: 'by so much attenuation' }]} />}
          {!byNumber ? (
            <>
              <MaterialField label="It is of" value={material} onValue={(value) => value && setMaterial(value)} />
              <MaterialField label="within" value={against} none="air" onValue={setAgainst} />
            </>
          ) : <QuantityField label="Difference of attenuation" kind="number" after="1/mm" value={contrast} above={0} onValue={(value) => value !== undefined && setContrast(value)} />}
        </div>
        <QuantityField label="Contrast to noise" kind="number" value={cnr} above={0} hint="Three to five times the noise is what an eye finds with certainty (Rose; common practice)" onValue={(value) => value !== undefined && setCnr(value)} />
      </div>
      <p class="scan-go"><button type="button" disabled={stands !== undefined || busy !== undefined} onClick={() => void look()}>Look for the least that is enough</button></p>
      <Progress busy={busy} place="enough" />
      <Complaint>{complaints.enough}</Complaint>
      <p class="scan-row" role="status">{found && <>{found.answer.sentence}{found.plan !== bench.plan && ' (Of the plan as it was then.)'}</>}</p>
      {found?.answer.enough && (
        <p class="scan-row">
          Spread of a thin wall {figure(found.answer.resolution, 3)} mm, magnification {figure(found.answer.magnification, 3)}, contrast to noise {figure(found.answer.cnr, 3)}.{' '}
          <button type="button" onClick={() => found.answer.enough && lay(found.answer.plan)}>Take it as the plan</button>
        </p>
      )}
    </>
  );
}
