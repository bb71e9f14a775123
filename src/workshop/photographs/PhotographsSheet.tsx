/** The sheet for photographs: seven questions from a folder of pictures to a solid. */
import { useErrorBoundary, useMemo, useState } from 'preact/hooks';
import { Later } from '../Later.tsx';
import { Complaint } from '../scan/fields.tsx';
import { Question } from '../scan/Question.tsx';
import { sentenceOf } from '../sentence.ts';
import { useUndoKeys } from '../undo-keys.ts';
import { VolumeSheet } from '../volume/VolumeSheet.tsx';
import { Align } from './Align.tsx';
import { Away } from './Away.tsx';
import { Frames } from './Frames.tsx';
import { faultsOf, hindrance, volumeHindrance } from './geometry.ts';
import { Light } from './Light.tsx';
import { axisKey } from './results.ts';
import { Rig } from './Rig.tsx';
import { samples } from './samples.ts';
import { Tour } from './Tour.tsx';
import { usePhotographs } from './usePhotographs.ts';
import { VolumeMake } from './VolumeMake.tsx';
import '../scan/scan.css';
import './photographs.css';

/** The sheet, and what stands in its place should it ever fail: what is open could be the cause, and must not lock the reader out. */
export function PhotographsSheet() {
  const [failure] = useErrorBoundary();
  if (!failure) return <Questions />;
  return (
    <div class="scan-sheet">
      <p><Complaint>{sentenceOf(failure)}</Complaint></p>
      <p>Loading the page again may help. If it does not, the scan that is open may be the cause; without it, the others can still be reached:</p>
      <p><button type="button" onClick={() => { void import('./keep.ts').then((keep) => keep.openedRoll(undefined)).finally(() => location.reload()); }}>Begin with no scan open</button></p>
    </div>
  );
}

function Questions() {
  const photographs = usePhotographs();
  const { ready, roll, unkept, volume, view, setView, results, undo, redo } = photographs;
  const [stop, setStop] = useState<number>();
  const faults = useMemo(() => (roll ? faultsOf(roll) : {}), [roll]);
  const stands = useMemo(() => (roll ? hindrance(roll) : undefined), [roll]);
  const found = roll && results.axis?.key === axisKey(roll) ? results.axis.axis : undefined;
  const inTheWay = useMemo(() => (roll ? volumeHindrance(roll, found) : undefined), [roll, found]);
  const begin = async (id: string) => {
    const sample = samples.find((each) => each.id === id)!;
    if (await photographs.bring(sample.files(), sample.title)) await photographs.make();
  };
  useUndoKeys(undo, redo);
  const nothing = 'Nothing to ask about yet.';
  const has = roll !== undefined && roll.frames.length > 0;
  // The volume is heavy to draw: only when something of it has changed.
  const look = useMemo(() => volume && <VolumeSheet key={roll?.id} volume={volume} title={roll?.title || 'A scan'} view={view} onView={setView} />, [volume, roll?.id, roll?.title]);
  return (
    <div class="scan-sheet photo-page" data-ready={ready || undefined} inert={!ready}>
      {unkept && <p class="scan-row scan-note" role="status">{unkept}</p>}
      <Question number={1} title="Which photographs?">
        <Frames photographs={photographs} onSample={(id) => void begin(id)} onTour={() => setStop(0)} />
      </Question>
      <Question number={2} title="How were they taken?" waits={!has && nothing}>{has && <Later key={roll.id}><Rig photographs={photographs} roll={roll} faults={faults} stands={stands} /></Later>}</Question>
      <Question number={3} title="Light to line integrals" waits={!has && nothing}>{has && <Later key={roll.id}><Light photographs={photographs} roll={roll} faults={faults} stands={stands} /></Later>}</Question>
      <Question number={4} title="Axis and steps" waits={!has && nothing}>{has && <Later key={roll.id}><Align photographs={photographs} roll={roll} stands={stands} /></Later>}</Question>
      <Question number={5} title="Make the volume" waits={!has && nothing}>{has && <Later key={roll.id}><VolumeMake photographs={photographs} roll={roll} faults={faults} stands={inTheWay} axis={found} /></Later>}</Question>
      <Question number={6} title="Look and measure" waits={!volume && 'No volume yet.'}>{look}</Question>
      <Question number={7} title="Take it away" waits={!(has && results.made) && 'No volume yet.'}>{has && results.made && <Away photographs={photographs} roll={roll} />}</Question>
      {stop !== undefined && <Tour stop={stop} onStop={setStop} />}
    </div>
  );
}
