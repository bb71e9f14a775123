import { BadInput } from '../files/bad-input.ts';

/**
 * Which frames were lost, as gaps: gaps[i] frames are missing after frame i, and after the last one before the first comes round again.
 * A place's gap may have a least size (the part of the circle that was never to be scanned).
 */
export interface GapProblem {
  readonly frames: number;
  /** Steps once round. */
  readonly circle: number;
  readonly least: readonly number[];
  /** Places between the same two frames that the caller fixed: what is missing there moves only among them. */
  readonly segments: readonly (readonly number[])[];
  /** What is missing in each segment, beyond the least gaps. */
  readonly missing: readonly number[];
}

/** Steps of the frames, the first at 0. */
export function stepsOf(gaps: readonly number[]): number[] {
  const steps = [0];
  for (let i = 0; i + 1 < gaps.length; i++) steps.push(steps[i]! + 1 + gaps[i]!);
  return steps;
}

/**
 * frames: how many there are.   steps: how many were to be taken.   circle: how many steps go once round, ≥ steps.
 * fixed: [frame, step] that the caller knows.
 * Throws BadInput where fixed frames leave too few or too many steps between them.
 */
export function gapProblem(frames: number, steps: number, circle: number, fixed: readonly (readonly [frame: number, step: number])[]): GapProblem {
  const least = Array.from({ length: frames }, (_, place) => (place === frames - 1 ? circle - steps : 0));
  const anchors = [...fixed].sort((a, b) => a[0] - b[0]);
  if (anchors.length < 2) return { frames, circle, least, segments: [Array.from({ length: frames }, (_, place) => place)], missing: [steps - frames] };
  const segments: number[][] = [];
  const missing: number[] = [];
  anchors.forEach(([frame, step], k) => {
    const [next, nextStep] = anchors[k + 1] ?? [anchors[0]![0] + frames, anchors[0]![1] + circle];
    const places = Array.from({ length: next - frame }, (_, i) => (frame + i) % frames);
    const lost = nextStep - step - (next - frame) - places.reduce((sum, place) => sum + least[place]!, 0);
    if (lost < 0 || !Number.isInteger(lost)) {
      const where = k + 1 < anchors.length ? `Frames ${frame} and ${next} are fixed at steps ${step} and ${nextStep}` : `Frames ${frame} and ${anchors[0]![0]}, the last and first that are fixed, stand at steps ${step} and ${anchors[0]![1]}`;
      throw new BadInput(`${where}, which leaves no room for the ${next - frame - 1} frames between them: steps have to rise from frame to frame, once round.`);
    }
    segments.push(places);
    missing.push(lost);
  });
  return { frames, circle, least, segments, missing };
}

/** The gaps spread evenly, every segment by itself; `turn` 0…1 shifts where they fall. */
export function evenGaps({ least, segments, missing }: GapProblem, turn: number): number[] {
  const gaps = [...least];
  segments.forEach((places, k) => {
    for (let i = 0; i < missing[k]!; i++) gaps[places[Math.floor(((i + turn) * places.length) / missing[k]!) % places.length]!]!++;
  });
  return gaps;
}

/** The gaps at random places. */
export function randomGaps({ least, segments, missing }: GapProblem, random: () => number): number[] {
  const gaps = [...least];
  segments.forEach((places, k) => {
    for (let i = 0; i < missing[k]!; i++) gaps[places[Math.floor(random() * places.length)]!]!++;
  });
  return gaps;
}

/** The gaps that are one lost frame away: one taken from a place and put at another of its segment, at most `far` places on. */
export function* movedGaps(gaps: readonly number[], { least, segments }: GapProblem, far = Infinity): Generator<number[]> {
  for (const places of segments) {
    const round = segments.length === 1;
    for (const [at, from] of places.entries()) {
      if (gaps[from]! <= least[from]!) continue;
      for (const [to, place] of places.entries()) {
        const away = round ? Math.min(Math.abs(to - at), places.length - Math.abs(to - at)) : Math.abs(to - at);
        if (away === 0 || away > far) continue;
        const moved = [...gaps];
        moved[from]!--;
        moved[place]!++;
        yield moved;
      }
    }
  }
}

/**
 * The gaps with two lost frames moved together, by 1 … far places the same way, or one of them one place more or less: of two blocks of
 * frames that face each other across the turn, both are then a step further on, which opposite views like as much as before, so that a
 * search one by one does not get from the one to the other.
 */
export function* movedTogether(gaps: readonly number[], { least, segments }: GapProblem, far: number): Generator<number[]> {
  const round = segments.length === 1;
  const lost: { places: readonly number[]; at: number }[] = [];
  for (const places of segments) {
    for (const [at, place] of places.entries()) for (let k = least[place]!; k < gaps[place]!; k++) lost.push({ places, at });
  }
  const target = ({ places, at }: (typeof lost)[number], by: number) => (round ? places[(at + by + places.length) % places.length] : places[at + by]);
  for (let a = 0; a < lost.length; a++) {
    for (let b = a + 1; b < lost.length; b++) {
      for (let by = -far; by <= far; by++) {
        for (const also of [by - 1, by, by + 1]) {
          const [one, other] = [target(lost[a]!, by), target(lost[b]!, also)];
          if (by === 0 || also === 0 || one === undefined || other === undefined) continue;
          const moved = [...gaps];
          moved[lost[a]!.places[lost[a]!.at]!]!--;
          moved[lost[b]!.places[lost[b]!.at]!]!--;
          moved[one]!++;
          moved[other]!++;
          yield moved;
        }
      }
    }
  }
}
