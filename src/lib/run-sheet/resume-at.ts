import { duration } from './duration.ts';
import type { RunSheet } from './run-sheet.ts';

/**
 * How to go on after an upset at a frame of the views: where the table goes, how long a tube cools, what is lost. The sheet's own list of what to
 * look at first goes before it.
 * frame: number of the view's frame, from 1, as the sheet has it.   Throws RangeError, one sentence, for a frame that the sheet does not have.
 */
export function resumeAt({ frames, resume, times }: RunSheet, frame: number): string[] {
  const views = frames.filter(({ kind }) => kind === 'view');
  const found = views.find(({ number }) => number === frame);
  if (!found) throw new RangeError(`Frame ${frame} is not on this sheet: its frames of views are 1 to ${views.length}.`);
  const before = views[frame - 2];
  const angle = `${Number(found.angle!.toFixed(4))}°`;
  return [
    ...resume,
    ...(times.inLight ? [] : [found.cool !== undefined
      ? `The tube cools for at least ${duration(found.cool)} since it was last on. That is by the plan’s own figures for it; where the maker’s charts or the housing’s temperature ask for longer, it cools for longer.`
      : `The plan does not tell what the tube may hold: it cools for as long as the maker’s charts ask, from hot, and never less than ${duration(times.rest)}.`]),
    found.position !== undefined
      ? `The table goes back to its mark, comes upon it turning forwards, and from there ${found.position} microsteps forwards, to ${angle}. Where it stands now counts for nothing: a motor that was without current has lost its place.`
      : `The object is turned to ${angle}, from the mark on the table and not from where it stands now.`,
    before ? `The last whole frame is ${frame - 1} (${before.name}): look at it. Frame ${frame} (${found.name}) is taken again, and the frames after it follow.` : `No frame of the views is whole yet: frame ${frame} (${found.name}) is taken again, and the frames after it follow.`,
    'If the flats were taken before the upset, and anything may have changed, take them again at the end of the run, and some more.',
  ];
}
