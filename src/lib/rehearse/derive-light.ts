import type { XrayPlan } from '../files/plan.ts';
import { lightToSrgb } from '../photos/linearise.ts';
import type { Material } from '../physics/attenuation.ts';
import { contrastPerNoise } from '../physics/noise.ts';
import { quantumChain, type StageName } from '../physics/quantum-chain.ts';
import type { PlanFacts } from './derive-plan.ts';
import { markOf, percent, short, type DerivedFigure } from './derived.ts';
import { planCamera } from './plan-camera.ts';
import { xrayLight } from './plan-light.ts';
import type { PlanObject } from './plan-object.ts';
import type { PlanSlice } from './plan-slice.ts';
import { planWords } from './plan-words.ts';

const chainRule = 'spectrum of the tube · share that the screen stops · light · what the lens gathers · quantum efficiency (quantumChain)';
const lampRule = 'electrons of an open pixel in a second, as the plan has them · length of the exposure · frames (a photograph of the lit sheet tells them)';

/** Light with nothing in the way, and what is left of it behind the object. */
export function deriveLight({ plan, bin, light, object, slice }: PlanFacts): DerivedFigure[] {
  const { exposure } = plan;
  const { open } = planWords(plan);
  const frames = exposure.frames ?? 1;
  const full = light.electrons / light.fullWell;
  const grey = (share: number) => light.levels * (light.curve === 'srgb' ? lightToSrgb(Math.min(1, share)) : Math.min(1, share));
  const [absorbed, ...sink] = plan.lamp ? [] : deriveQuanta(plan, bin);
  const figures: DerivedFigure[] = [
    ...(absorbed ? [absorbed] : []),
    {
      key: 'openElectrons', group: 'light', label: `Electrons, ${open}`, value: light.electrons, unit: 'per pixel and view', rule: plan.lamp ? lampRule : chainRule,
      sentence: plan.lamp ? `Where nothing is before the sheet, each pixel${bin > 1 ? ` of ${bin} × ${bin}` : ''} takes ${short(light.electrons)} electrons in a view${frames > 1 ? `, in ${frames} frames together` : ''}: their noise is ${short(Math.sqrt(light.electrons))}.` : `They become ${short(light.electrons)} electrons in the camera${frames > 1 ? `, in ${frames} frames together` : ''}.`,
    },
    {
      key: 'openGrey', group: 'light', label: `Grey value of the ${open}`, value: grey(full), unit: `of ${light.levels}`, rule: `electrons over those of a full pixel, written ${light.curve === 'srgb' ? 'along the curve of sRGB, as pictures of 8 bits are' : 'in proportion, as raw files are'}; 40 to 90 % of the light that fills it makes use of the camera (common practice, no source)`, good: [grey(0.4), grey(0.9)],
      mark: markOf(full, [0.4, 0.9], [0.02, 1 - 1e-9]), ...(full > 0.9 ? { knob: { key: 'exposure.seconds', way: 'down' } as const } : full < 0.4 ? { knob: { key: 'exposure.seconds', way: 'up' } as const } : {}),
      sentence: full >= 1 ? `The ${open} fills a pixel ${short(full)} times over: it is saturated, and every line integral comes out too low; expose for ${short((0.8 * exposure.seconds) / full)} s and add up frames instead.`
        : `The ${open} fills a pixel to ${percent(full)}${full < 0.4 ? ', so that reading the camera and its steps of grey make more noise than they need' : ''}.`,
    },
    ...sink,
  ];
  if (!object || !slice) return figures;

  const { thickest } = slice;
  const integral = -Math.log(thickest.light);
  const behind = plan.lamp ? light.electrons * thickest.light : electronsBehind(plan, bin, object, slice);
  const black = behind < 3 * light.readNoise;
  const dark = thickest.light < 0.04, pale = thickest.light > 0.4;
  const cure = plan.lamp ? (dark ? ': noise rules there, so dilute the dye' : pale ? ': the object hardly shows, so take more dye' : '') : dark ? ': noise and hardening rule there, so raise the voltage or filter more' : pale ? ': the object hardly shows, so lower the voltage' : '';
  figures.push(
    {
      key: 'transmission', group: 'light', label: 'Light behind the thickest place', value: thickest.light, unit: '', rule: `Beer and Lambert’s law${plan.lamp ? '' : ' for every energy'}, along sampled rays; 13.5 % (μD = 2) shows contrast best for the photons used (Grodzins 1983, from memory), and 4 to 40 % loses at most a quarter or so of that`, good: [0.04, 0.4],
      mark: black ? 'bad' : markOf(thickest.light, [0.04, 0.4], [0.003, 0.9]), ...(!plan.lamp && dark ? { knob: { key: 'tube.kVp', way: 'up' } as const } : !plan.lamp && pale ? { knob: { key: 'tube.kVp', way: 'down' } as const } : {}),
      sentence: `Behind the thickest place ${percent(thickest.light)} of the light is left (best for contrast is 13.5 %; here ${percent(contrastPerNoise(integral) / contrastPerNoise(2))} of that contrast for each photon)${cure}.`,
    },
    {
      key: 'behindElectrons', group: 'light', label: 'Electrons behind the thickest place', value: behind, unit: 'per pixel and view', rule: plan.lamp ? `${lampRule} · light behind that place` : chainRule, mark: black ? 'bad' : markOf(behind / light.readNoise, [10, Infinity]),
      ...(behind < 10 * light.readNoise && { knob: { key: 'exposure.frames', way: 'up' } as const }),
      sentence: `There ${short(behind)} electrons are left in the camera, which reads with ${short(light.readNoise)} of noise${black ? ': too few to tell from black' : ''}.`,
    },
  );
  return figures;
}

/** What the screen absorbs, and where quanta are fewest. */
function deriveQuanta(plan: XrayPlan, bin: number): [DerivedFigure, DerivedFigure] {
  const { stages, sink } = xrayLight(plan, bin).chain;
  const stage = (name: StageName) => stages.find((each) => each.name === name)!.quanta;
  const absorbed = stage('X-rays absorbed'), fewest = stage(sink);
  return [
    {
      key: 'openXrays', group: 'light', label: 'X-rays absorbed, open beam', value: absorbed, unit: 'per pixel and view', rule: chainRule,
      sentence: `In the open beam the screen absorbs ${short(absorbed)} X-rays for each pixel${bin > 1 ? ` of ${bin} × ${bin}` : ''} and view.`,
    },
    {
      key: 'quantumSink', group: 'light', label: 'Fewest quanta', value: fewest, unit: 'per pixel and view', rule: 'the stage of the chain with the fewest quanta rules the noise (Rabbani, Shaw & Van Metter 1987, from memory)', good: [0.9 * absorbed, Infinity],
      mark: markOf(fewest / absorbed, [0.9, Infinity], [0.001, Infinity]), ...(fewest < 0.9 * absorbed && { knob: { key: 'camera.fNumber', way: 'down' } as const }),
      parts: Object.fromEntries(stages.map(({ name, quanta }) => [name, quanta])),
      sentence: sink === 'X-rays absorbed' ? 'The X-rays that the screen absorbs are fewest, as it should be: light is not wasted.' : `Of all stages, ${sink} has the fewest quanta, ${short(fewest)} against ${short(absorbed)} X-rays absorbed: light is lost on its way to the camera, and with it dose; a faster lens, a nearer camera or a larger sensor gains most.`,
    },
  ];
}

/** Electrons behind the thickest place, by the chain for every energy. */
function electronsBehind(plan: XrayPlan, bin: number, { substances }: PlanObject, { thickest }: PlanSlice): number {
  const { tube, exposure, distances, screen } = plan;
  const frames = exposure.frames ?? 1;
  const layers = substances.flatMap(({ material, density }, k) => (thickest.paths[k] > 0 && material ? [{ material: material as Material, thickness: thickest.paths[k], ...(density !== undefined && { density }) }] : []));
  return quantumChain({ spectrum: xrayLight(plan, bin).spectrum, mAs: tube.mA * exposure.seconds * frames, sourceToScreen: distances.sourceToDetector, screen, camera: planCamera(plan, bin, frames), object: layers }).electrons;
}
