/** The guided tour: what to look at in each question, one stop at a time; the page goes along. */
import { useEffect, useRef } from 'preact/hooks';

const stops: readonly { question: number; text: string }[] = [
  { question: 1, text: 'A makerspace sealed a time capsule, and nobody wrote down what is in it. Here are its photographs, as a camera behind the glowing screen saw them, with a few taken in the dark and a few without the capsule. Each picture is one shadow, 8° after the one before. Pick one to leave it out or to move it; everything can be undone.' },
  { question: 2, text: 'Shadows alone do not say how large the capsule is. The distances and the width of a pixel do. The drawing shows them to scale, from above; a wrong answer is often seen here first.' },
  { question: 3, text: 'A camera writes a picture for the eye, not a measurement. These steps turn it into line integrals: how much the object took away along each ray. Switch one off, run it again, and see what it was good for. Drag the slider to go from view to view.' },
  { question: 4, text: 'The axis of this rig was 3.2 pixels beside the middle and leaned by 0.7°. Compare that with what was found here. In the scan with photographs missing, the same part finds the gaps.' },
  { question: 5, text: 'Every view is filtered and smeared back along its rays, as in chapters 4 and 5, now in three dimensions. 160 voxels along an edge take seconds. Ask for more when you like what you see.' },
  { question: 6, text: 'Cut the capsule anywhere: press on one cut and the others follow. Drag the greys until wood and oil part. The nut, the marble, the spring, the bead and the vial are all there. Measure the marble: it was made 16 mm across.' },
  { question: 7, text: 'The scan file and the photographs make the same volume on the command line. The report fits on one page. Now bring your own photographs to question 1; the capsule stays in the list.' },
];

export function Tour({ stop, onStop }: { stop: number; onStop: (stop: number | undefined) => void }) {
  const { question, text } = stops[stop];
  const box = useRef<HTMLElement>(null);
  useEffect(() => {
    const heading = document.getElementById(`scan-question-${question}`);
    const calm = matchMedia('(prefers-reduced-motion: reduce)').matches;
    heading?.scrollIntoView({ behavior: calm ? 'auto' : 'smooth', block: 'start' });
    heading?.parentElement?.classList.add('photo-toured');
    return () => heading?.parentElement?.classList.remove('photo-toured');
  }, [question]);
  useEffect(() => { box.current?.focus({ preventScroll: true }); }, [stop]);
  return (
    <aside class="photo-tour" ref={box} tabIndex={-1} aria-label="Guided tour" onKeyDown={(event) => { if (event.key === 'Escape') onStop(undefined); }}>
      <p class="photo-tour-place"><span class="caps">Tour</span> {stop + 1} of {stops.length}: question {question}</p>
      <p>{text}</p>
      <p class="scan-buttons">
        <button type="button" disabled={stop === 0} onClick={() => onStop(stop - 1)}>Back</button>
        {stop + 1 < stops.length ? <button type="button" class="scan-chief" onClick={() => onStop(stop + 1)}>Next</button> : null}
        <button type="button" onClick={() => onStop(undefined)}>End the tour</button>
      </p>
    </aside>
  );
}
