import { parallelBeam } from '../geometry/beams.ts';
import { projectPhantom } from '../phantom/project-phantom.ts';
import { ellipse, type Phantom } from '../phantom/shapes.ts';
import { sheppLogan } from '../phantom/shepp-logan.ts';
import { projectionMoment } from '../project/projection-moment.ts';
import type { Check } from './check.ts';
import { computed, radians, series, type Figure } from './series.ts';

/** Consistency of views with each other (Helgason–Ludwig): check values C1 to C5, from averaged cells narrow enough for the tolerances. */

const turned = [ellipse(1, 0.5, 3, 2, radians(30), 2)];
const head = sheppLogan({ variant: '1974', size: 2, scale: 1 });
const quadrature = `${computed}: quadrature`;

/** Moment n of the phantom's view at θ degrees, from 8,000 cells over `reach` either side of the axis. */
function moment(phantom: Phantom, reach: number, theta: number, order: number): number {
  const geometry = parallelBeam({ angles: [radians(theta)], detectors: 8000, pitch: reach / 4000 });
  return projectionMoment(projectPhantom(phantom, geometry, { cell: 'average' }), geometry, 0, order);
}

const at = (what: string, values: readonly (readonly [theta: number, value: number])[], ours: (theta: number) => number): Figure[] =>
  values.map(([theta, value]) => [`${what} at θ = ${theta}°`, value, () => ours(theta)]);

const ellipseMoment = (order: number) => (theta: number) => moment(turned, 5, theta, order);
const mass = 37.69911184;

export const momentChecks: Check[] = [
  ...series('C1', { tolerance: 1e-6, kind: 'relative', source: quadrature },
    at('moment 0 of an ellipse (density 2, a = 3, b = 2), 12π', [[0, mass], [30, mass], [90, mass], [135, mass]], ellipseMoment(0))),
  ...series('C2', { tolerance: 1e-5, kind: 'relative', source: quadrature },
    at('moment 1 of that ellipse, centred at (1, 0.5)', [[0, 37.6991], [30, 42.0732], [90, 18.8496], [135, -13.3286]], ellipseMoment(1))),
  ...series('C3', { tolerance: 1e-6, kind: 'absolute', source: quadrature },
    at('centre of mass of that ellipse’s view', [[0, 1], [30, 1.1160254], [90, 0.5], [135, -0.3535534]], (theta) => ellipseMoment(1)(theta) / ellipseMoment(0)(theta))),
  ...series('C4', { tolerance: 1e-6, kind: 'relative', source: quadrature }, [
    ...at('moment 2 of that ellipse', [[0, 110.741141], [30, 131.777724], [90, 58.904862], [135, 45.568203]], ellipseMoment(2)),
    ...at('moment 2 of that ellipse, and a quarter turn on, together', [[0, 169.646003], [30, 169.646003]], (theta) => ellipseMoment(2)(theta) + ellipseMoment(2)(theta + 90)),
  ]),
  ...series('C5', { tolerance: 1e-6, kind: 'relative', source: computed },
    at('moment 0 of the original head', [[0, 2.201756692], [37, 2.201756692], [90, 2.201756692]], (theta) => moment(head, 1, theta, 0))),
];
