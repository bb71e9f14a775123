/** Every number that chapter 3 prints, worked out with the library when the book is built. */
import {
  bead, detectorIndex, disc, ellipse, fanBeam, mass, parallelBeam, pointOnDetector, projectionMoment, projectPhantom, rayOf,
} from '../../lib/index.ts';
import type { ParallelBeam, Sinogram } from '../../lib/index.ts';

const degrees = (angle: number) => angle * 180 / Math.PI;
const radians = (angle: number) => angle * Math.PI / 180;

/** A view's mass, ∫ p ds in mm, and its centre of mass, ∫ s p ds / ∫ p ds in mm from the axis. */
function moments(sinogram: Sinogram, geometry: ParallelBeam, view: number): { mass: number; centre: number } {
  const whole = projectionMoment(sinogram, geometry, view, 0);
  return { mass: whole, centre: projectionMoment(sinogram, geometry, view, 1) / whole };
}

// One bead: where its shadow's middle falls, measured on its exact shadow.
const place = { x: 3, y: 4 }; // mm
const distance = Math.hypot(place.x, place.y);
const direction = Math.atan2(place.y, place.x);
const stops = [0, radians(30), direction, Math.PI / 2, direction + Math.PI / 2, Math.PI];
const fine = parallelBeam({ angles: stops, detectors: 1601, pitch: 0.01 });
const beadShadow = projectPhantom([bead(place.x, place.y, 1, 0.1)], fine, { cell: 'average' });
const stop = stops.map((_, view) => moments(beadShadow, fine, view).centre);

// A lopsided object, to be weighed from four sides.
const [a, b, middleX, middleY, tilt, attenuation] = [15, 10, 5, 2.5, 30, 0.02]; // mm, degrees, 1/mm
const oval = [ellipse(middleX, middleY, a, b, radians(tilt), attenuation)];
const sides = parallelBeam({ angles: [0, 30, 90, 135].map(radians), detectors: 600, pitch: 0.1 });
const ovalShadow = projectPhantom(oval, sides, { cell: 'average' });
const side = sides.angles.map((_, view) => moments(ovalShadow, sides, view));
const detectorLength = sides.detectors * sides.pitch;
const fade = 0.01; // share of the lamp's light lost during one view
const fadeAdds = -Math.log(1 - fade) * detectorLength;

// An axis that is not where one thinks: centres of mass at 0° and 180° counted from the middle of the detector.
const offset = 0.7; // mm
const shifted = parallelBeam({ angles: [0, Math.PI], detectors: 600, pitch: 0.1, axisOffset: offset });
const believed = { ...shifted, axisOffset: 0 };
const shiftedShadow = projectPhantom(oval, shifted, { cell: 'average' });
const opposite = [0, 1].map((view) => moments(shiftedShadow, believed, view).centre);

// A ray of a fan.
const fan = fanBeam({ angles: [30, 230].map(radians), sourceToAxis: 500, sourceToDetector: 750, detectors: 3001, pitch: 0.1 });
const fanAngle = 10; // degrees
const column = fan.sourceToDetector * Math.tan(radians(fanAngle));
const ray = rayOf(fan, 0, detectorIndex(fan, column));
const met = rayOf(fan, 1, detectorIndex(fan, -column));

// Exercises
const ask = { x: -20, y: 15, angle: 150, atZero: 6, atQuarter: -2.5, between: 45, radius: 10, mu: 0.02, pitch: 0.25, most: 14.6, least: -13.8, column: 62 };
const falls = (x: number, y: number, angle: number) => pointOnDetector(parallelBeam({ angles: [radians(angle)], detectors: 1, pitch: 1 }), 0, x, y);
const askDisc = [disc(0, 0, ask.radius, ask.mu)];
const askBeam = parallelBeam({ angles: [0], detectors: 120, pitch: ask.pitch });
const askFan = fanBeam({ angles: [0], sourceToAxis: 450, sourceToDetector: 620, detectors: 1241, pitch: 0.2 });
const askRay = rayOf(askFan, 0, detectorIndex(askFan, ask.column));

export const values = {
  x: { value: place.x, unit: 'mm' },
  y: { value: place.y, unit: 'mm' },
  distance: { value: distance, unit: 'mm' },
  direction: { value: degrees(direction), unit: '°' },
  angle0: { value: degrees(stops[0]), unit: '°' },
  angle1: { value: degrees(stops[1]), unit: '°' },
  angle2: { value: degrees(stops[2]), unit: '°' },
  angle3: { value: degrees(stops[3]), unit: '°' },
  angle4: { value: degrees(stops[4]), unit: '°' },
  angle5: { value: degrees(stops[5]), unit: '°' },
  stop0: { value: stop[0], unit: 'mm' },
  stop1: { value: stop[1], unit: 'mm' },
  stop2: { value: stop[2], unit: 'mm' },
  stop3: { value: stop[3], unit: 'mm' },
  stop4: { value: stop[4], unit: 'mm' },
  stop5: { value: stop[5], unit: 'mm' },
  stop1X: { value: place.x * Math.cos(stops[1]), unit: 'mm' },
  stop1Y: { value: place.y * Math.sin(stops[1]), unit: 'mm' },

  ovalA: { value: 2 * a, unit: 'mm' },
  ovalB: { value: 2 * b, unit: 'mm' },
  ovalTilt: { value: tilt, unit: '°' },
  ovalX: { value: middleX, unit: 'mm' },
  ovalY: { value: middleY, unit: 'mm' },
  ovalMu: { value: attenuation, unit: '1/mm' },
  ovalMass: { value: mass(oval), unit: 'mm' },
  ovalPitch: { value: sides.pitch, unit: 'mm' },
  mass0: { value: side[0].mass, unit: 'mm' },
  mass1: { value: side[1].mass, unit: 'mm' },
  mass2: { value: side[2].mass, unit: 'mm' },
  mass3: { value: side[3].mass, unit: 'mm' },
  centre0: { value: side[0].centre, unit: 'mm' },
  centre1: { value: side[1].centre, unit: 'mm' },
  centre2: { value: side[2].centre, unit: 'mm' },
  centre3: { value: side[3].centre, unit: 'mm' },
  side0: { value: degrees(sides.angles[0]), unit: '°' },
  side1: { value: degrees(sides.angles[1]), unit: '°' },
  side2: { value: degrees(sides.angles[2]), unit: '°' },
  side3: { value: degrees(sides.angles[3]), unit: '°' },
  detectorLength: { value: detectorLength, unit: 'mm' },
  fade: { value: fade * 100, unit: '%' },
  fadeAdds: { value: fadeAdds, unit: 'mm' },
  fadeShare: { value: fadeAdds / mass(oval) * 100, unit: '%' },
  oppositeFirst: { value: opposite[0], unit: 'mm' },
  oppositeSecond: { value: opposite[1], unit: 'mm' },
  offsetFound: { value: (opposite[0] + opposite[1]) / 2, unit: 'mm' },

  sourceToAxis: { value: fan.sourceToAxis, unit: 'mm' },
  sourceToDetector: { value: fan.sourceToDetector, unit: 'mm' },
  fanView: { value: degrees(fan.angles[0]), unit: '°' },
  fanColumn: { value: column, unit: 'mm' },
  fanAngle: { value: fanAngle, unit: '°' },
  fanTheta: { value: degrees(ray.theta), unit: '°' },
  fanS: { value: ray.s, unit: 'mm' },
  metView: { value: degrees(fan.angles[1]), unit: '°' },
  metTheta: { value: degrees(met.theta), unit: '°' },
  metS: { value: met.s, unit: 'mm' },

  // Exercises
  ask: {
    x: { value: ask.x, unit: 'mm' },
    y: { value: ask.y, unit: 'mm' },
    angle: { value: ask.angle, unit: '°' },
    falls: { value: falls(ask.x, ask.y, ask.angle), unit: 'mm' },

    crossing: { value: degrees(direction + Math.PI / 2), unit: '°' },

    atZero: { value: ask.atZero, unit: 'mm' },
    atQuarter: { value: ask.atQuarter, unit: 'mm' },
    between: { value: ask.between, unit: '°' },
    fallsBetween: { value: falls(ask.atZero, ask.atQuarter, ask.between), unit: 'mm' },

    discRadius: { value: ask.radius, unit: 'mm' },
    discMu: { value: ask.mu, unit: '1/mm' },
    discPitch: { value: ask.pitch, unit: 'mm' },
    discMass: { value: mass(askDisc), unit: 'mm' },
    discSum: { value: projectPhantom(askDisc, askBeam, { cell: 'average' }).data.reduce((sum, p) => sum + p, 0), unit: '' },

    swingMost: { value: ask.most, unit: 'mm' },
    swingLeast: { value: ask.least, unit: 'mm' },
    swingAxis: { value: (ask.most + ask.least) / 2, unit: 'mm' },

    sourceToAxis: { value: askFan.sourceToAxis, unit: 'mm' },
    sourceToDetector: { value: askFan.sourceToDetector, unit: 'mm' },
    column: { value: ask.column, unit: 'mm' },
    fanAngle: { value: degrees(askRay.theta), unit: '°' },
    fanS: { value: askRay.s, unit: 'mm' },
  },
};
