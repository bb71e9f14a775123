/** Questions 2 and 3: with what, and how? */
import type { Material, Plan } from '../../lib/index.ts';
import { Choice, Tick } from '../scan/fields.tsx';
import { Asks } from './Asks.tsx';
import { usual, type Path } from './model.ts';
import { MaterialField } from './ObjectPart.tsx';
import { QuantityField } from './QuantityField.tsx';
import { first, light } from './plans.ts';
import { asked, groups } from './questions.ts';
import { inLight, inXrays } from './switch-light.ts';

interface Props {
  readonly plan: Plan;
  readonly faults: Readonly<Record<string, string>>;
  readonly set: (path: Path, value: unknown) => void;
}

export function RigPart({ plan, faults, set, lay }: Props & { readonly lay: (plan: Plan) => void }) {
  const own = { plan, faults, set };
  return (
    <>
      <Choice label="The object is looked through with" value={plan.lamp ? 'light' : 'x-rays'} onValue={(value) => lay(value === 'light' ? inLight(plan, light) : inXrays(plan, first))}
        options={[{ value: 'x-rays', label: 'X-rays' }, { value: 'light', label: 'visible light' }]} />
      {plan.lamp ? (
        <div class="bench-groups">
          <Asks group={groups.lamp} {...own}><p class="scan-hint">A lit sheet of one colour behind, the dyed object in a flat-walled tank before it, a camera that looks through it: the rays meet in the lens. The page “Practising with visible light”, at the end of the book, builds it.</p></Asks>
          <Asks group={asked(groups.distances, plan)} {...own} />
          <Asks group={asked(groups.camera, plan)} {...own} />
        </div>
      ) : <TubePart {...own} />}
    </>
  );
}

function TubePart({ plan, faults, set }: Props) {
  const filters = plan.filters ?? [];
  const own = { plan, faults, set };
  return (
    <div class="bench-groups">
      <Asks group={groups.tube} {...own} />
      <div>
        <fieldset class="scan-group">
          <legend>Filters, from the tube on</legend>
          {filters.length === 0 && <p class="scan-hint">None. Soft X-rays that never reach the screen then only add dose and hardening.</p>}
          <ol class="bench-list">
            {filters.map(({ material, thickness }, i) => (
              <li key={i}>
                <MaterialField label={`Filter ${i + 1}`} value={material} onValue={(value) => set(['filters', i, 'material'], value)} />
                <QuantityField label={`Thickness of filter ${i + 1}`} kind="length" value={thickness} above={0} onValue={(value) => set(['filters', i, 'thickness'], value)} />
                <p class="scan-buttons"><button type="button" class="quiet" onClick={() => set(['filters'], filters.filter((_, k) => k !== i))}>Take filter {i + 1} away</button></p>
              </li>
            ))}
          </ol>
          <p class="scan-row"><button type="button" disabled={filters.length >= 20} onClick={() => set(['filters'], [...filters, usual.filter])}>Add a filter</button></p>
        </fieldset>
        <Asks group={groups.distances} {...own} />
        <Asks group={groups.screen} {...own} />
      </div>
      <Asks group={groups.camera} {...own} />
    </div>
  );
}

const barriers: readonly Material[] = ['lead', 'concrete', 'steel', 'aluminium', 'gypsum', 'wood', 'sodaLime', 'acrylic', 'water'];

export function RunPart({ plan, faults, set }: Props) {
  const own = { plan, faults, set };
  const { stage, room } = plan;
  return (
    <div class="bench-groups">
      <div>
        <Asks group={asked(groups.exposure, plan)} {...own} />
        <Asks group={asked(groups.views, plan)} {...own} />
      </div>
      <div>
        <Tick label="A stepper motor turns the table" value={stage !== undefined} onValue={(yes) => set(['stage'], yes ? usual.stage : undefined)} />
        {stage && <Asks group={groups.stage} {...own} />}
      </div>
      {!plan.lamp && <div>
        <Tick label="Estimate what may reach a person" value={room !== undefined} onValue={(yes) => set(['room'], yes ? usual.room : undefined)} />
        {room && (
          <Asks group={groups.room} {...own}>
            <Tick label="A sheet stands between, on every way from tube and object to them" value={room.barrier !== undefined} onValue={(yes) => set(['room', 'barrier'], yes ? usual.barrier : undefined)} />
            {room.barrier && (
              <>
                <MaterialField label="The sheet is of" value={room.barrier.material} only={barriers} onValue={(value) => set(['room', 'barrier', 'material'], value)} />
                <QuantityField label="Its thickness" kind="length" value={room.barrier.thickness} above={0} onValue={(value) => set(['room', 'barrier', 'thickness'], value)} />
              </>
            )}
          </Asks>
        )}
      </div>}
    </div>
  );
}
