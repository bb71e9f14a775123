import { bead, disc, ellipse, forwardProject, linearAttenuation, projectPhantom, rasterize, sheppLogan } from '../../lib/index.ts';
import type { FlatBeam, Grid, Image, Phantom, Sinogram } from '../../lib/index.ts';

export type SpecimenId = 'head' | 'capsule' | 'bead' | 'own';

/** An object that plates can show. It is known exactly (phantom) or as a picture (a slice of the reader's own scan). */
export interface Specimen {
  readonly id: SpecimenId;
  /** Tells it from every other, and a new slice of one's own from the one before: for `remember`. */
  readonly key: string;
  readonly title: string;
  /** All of it lies within this distance of the axis, mm. */
  readonly radius: number;
  /** The attenuation, 1/mm, that a film shows white. Little of the specimen, or nothing, lies above. */
  readonly white: number;
  readonly phantom?: Phantom;
  readonly image?: Image;
}

export const specimenTitles: Readonly<Record<SpecimenId, string>> = {
  head: 'Head phantom',
  capsule: 'Slice of the capsule',
  bead: 'A single bead',
  own: 'A slice of your own scan',
};

const keV = 60;
const mu = linearAttenuation;

/** The specimens that come with the book. All invented, with attenuation at 60 keV; 'own' needs the reader's picture: see ownSpecimen. */
export function specimen(id: Exclude<SpecimenId, 'own'>): Specimen {
  if (id === 'head') return { id, key: id, title: specimenTitles.head, radius: 100, white: mu('bone', keV), phantom: sheppLogan({ variant: 'high-contrast', size: 200, scale: mu('bone', keV) }) };
  if (id === 'bead') return { id, key: id, title: specimenTitles.bead, radius: 32, white: mu('borosilicate', keV), phantom: [bead(14, 9, 8, mu('borosilicate', keV))] };
  return { id, key: id, title: specimenTitles.capsule, radius: 40, white: 1.1 * mu('sodaLime', keV), phantom: capsuleSlice() };
}

/** The capsule cut across: shell, marble, wooden bead with its bore, vial with oil (as polyethylene), and a thin steel spring met four times. */
function capsuleSlice(): Phantom {
  const shell = mu('polyethylene', keV);
  const glass = mu('borosilicate', keV);
  return [
    ellipse(0, 0, 36, 30, 0, shell), ellipse(0, 0, 33, 27, 0, -shell),
    disc(-15, 7, 8, mu('sodaLime', keV)),
    disc(-10, -13, 6, mu('wood', keV)), disc(-10, -13, 1.5, -mu('wood', keV)),
    disc(15, -6, 8, glass), disc(15, -6, 6.8, shell - glass),
    ...[0, 1, 2, 3].map((turn) => disc(6 + 4 * turn, 13 + (turn % 2) * 4, 0.25, mu('iron', keV))),
  ];
}

export function ownSpecimen(image: Image, title = specimenTitles.own, key = 'own'): Specimen {
  let greatest = 0;
  for (const value of image.data) if (value > greatest) greatest = value;
  return { id: 'own', key, title, radius: (Math.max(image.width, image.height) * image.pixelSize) / 2, white: greatest || 1, image };
}

/** A grid of size² pixels that holds the whole specimen. */
export function gridFor(subject: Specimen, size = 128): Grid {
  return { width: size, height: size, pixelSize: (2 * subject.radius) / size };
}

/** The specimen on a grid, each pixel the mean over its area. */
export function pictureOf(subject: Specimen, grid: Grid): Image {
  return subject.phantom ? rasterize(subject.phantom, grid, 4) : resample(subject.image!, grid);
}

/** The specimen's line integrals: exact for a phantom, Joseph's method for a picture. */
export function shadowsOf(subject: Specimen, geometry: FlatBeam): Sinogram {
  return subject.phantom ? projectPhantom(subject.phantom, geometry) : forwardProject(subject.image!, geometry);
}

/** Each pixel of the grid is the mean of 4 × 4 nearest values of the image; 0 outside it. The image's centre comes to the grid's axis. */
function resample(image: Image, grid: Grid): Image {
  const data = new Float32Array(grid.width * grid.height);
  const samples = 4;
  const ratio = grid.pixelSize / image.pixelSize;
  for (let row = 0; row < grid.height; row++) {
    for (let column = 0; column < grid.width; column++) {
      let sum = 0;
      for (let k = 0; k < samples * samples; k++) {
        const x = (column + ((k % samples) + 0.5) / samples - grid.width / 2) * ratio + image.width / 2;
        const y = (row + (Math.floor(k / samples) + 0.5) / samples - grid.height / 2) * ratio + image.height / 2;
        if (x >= 0 && y >= 0 && x < image.width && y < image.height) sum += image.data[Math.floor(y) * image.width + Math.floor(x)];
      }
      data[row * grid.width + column] = sum / (samples * samples);
    }
  }
  return { ...grid, data };
}
