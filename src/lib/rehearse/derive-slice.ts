import { lightToSrgb } from '../photos/linearise.ts';
import { contrastPerNoise } from '../physics/noise.ts';
import { quantumChain, type StageName } from '../physics/quantum-chain.ts';
import type { Material } from '../physics/attenuation.ts';
import { markOf, short, type DerivedFigure } from './derived.ts';
import type { PlanFacts } from './derive-plan.ts';
import { planCamera } from './plan-camera.ts';

const percent = (share: number) => `${short(100 * share)} %`;

/** Light in the open beam and behind the object, noise, and what shows in a slice. */
export function deriveSlice({ plan, bin, light, object, slice }: PlanFacts): DerivedFigure[] {
  const { tube, exposure, distances, screen } = plan;
  const figures: DerivedFigure[] = [];
  const frames = exposure.frames ?? 1;
  const full = light.electrons / light.fullWell;
  const grey = (share: number) => light.levels * (light.curve === 'srgb' ? lightToSrgb(Math.min(1, share)) : Math.min(1, share));
  const chainRule = 'spectrum of the tube · share that the screen stops · light · what the lens gathers · quantum efficiency (quantumChain)';
  const stage = (name: StageName) => light.chain.stages.find((each) => each.name === name)!.quanta;
  figures.push(
    {
      key: 'openXrays', group: 'light', label: 'X-rays absorbed, open beam', value: stage('X-rays absorbed'), unit: 'per pixel and view', rule: chainRule,
      sentence: `In the open beam the screen absorbs ${short(stage('X-rays absorbed'))} X-rays for each pixel${bin > 1 ? ` of ${bin} × ${bin}` : ''} and view.`,
    },
    {
      key: 'openElectrons', group: 'light', label: 'Electrons, open beam', value: light.electrons, unit: 'per pixel and view', rule: chainRule,
      sentence: `They become ${short(light.electrons)} electrons in the camera${frames > 1 ? `, in ${frames} frames together` : ''}.`,
    },
    {
      key: 'openGrey', group: 'light', label: 'Grey value of the open beam', value: grey(full), unit: `of ${light.levels}`, rule: `electrons over those of a full pixel, written ${light.curve === 'srgb' ? 'along the curve of sRGB, as pictures of 8 bits are' : 'in proportion, as raw files are'}; 40 to 90 % of the light that fills it makes use of the camera (common practice, no source)`, good: [grey(0.4), grey(0.9)],
      mark: markOf(full, [0.4, 0.9], [0.02, 1 - 1e-9]), ...(full > 0.9 ? { knob: { key: 'exposure.seconds', way: 'down' } as const } : full < 0.4 ? { knob: { key: 'exposure.seconds', way: 'up' } as const } : {}),
      sentence: full >= 1 ? `The open beam fills a pixel ${short(full)} times over: it is saturated, and every line integral comes out too low; expose for ${short((0.8 * exposure.seconds) / full)} s and add up frames instead.`
        : `The open beam fills a pixel to ${percent(full)}${full < 0.4 ? ', so that reading the camera and its steps of grey make more noise than they need' : ''}.`,
    },
  );
  const sink = light.chain.sink;
  figures.push({
    key: 'quantumSink', group: 'light', label: 'Fewest quanta', value: stage(sink), unit: 'per pixel and view', rule: 'the stage of the chain with the fewest quanta rules the noise (Rabbani, Shaw & Van Metter 1987, from memory)', good: [0.9 * stage('X-rays absorbed'), Infinity],
    mark: markOf(stage(sink) / stage('X-rays absorbed'), [0.9, Infinity], [0.001, Infinity]), ...(stage(sink) < 0.9 * stage('X-rays absorbed') && { knob: { key: 'camera.fNumber', way: 'down' } as const }),
    parts: Object.fromEntries(light.chain.stages.map(({ name, quanta }) => [name, quanta])),
    sentence: sink === 'X-rays absorbed' ? 'The X-rays that the screen absorbs are fewest, as it should be: light is not wasted.' : `Of all stages, ${sink} has the fewest quanta, ${short(stage(sink))} against ${short(stage('X-rays absorbed'))} X-rays absorbed: light is lost on its way to the camera, and with it dose; a faster lens, a nearer camera or a larger sensor gains most.`,
  });
  if (!object || !slice) return figures;

  const { thickest } = slice;
  const integral = -Math.log(thickest.light);
  const layers = object.substances.flatMap(({ material, density }, k) => (thickest.paths[k] > 0 && material ? [{ material: material as Material, thickness: thickest.paths[k], ...(density !== undefined && { density }) }] : []));
  const behind = quantumChain({ spectrum: light.spectrum, mAs: tube.mA * exposure.seconds * frames, sourceToScreen: distances.sourceToDetector, screen, camera: planCamera(plan, bin, frames), object: layers });
  const black = behind.electrons < 3 * light.readNoise;
  figures.push(
    {
      key: 'transmission', group: 'light', label: 'Light behind the thickest place', value: thickest.light, unit: '', rule: 'Beer and Lambert’s law for every energy, along sampled rays; 13.5 % (μD = 2) shows contrast best for the photons used (Grodzins 1983, from memory), and 4 to 40 % loses at most a quarter or so of that', good: [0.04, 0.4],
      mark: black ? 'bad' : markOf(thickest.light, [0.04, 0.4], [0.003, 0.9]), ...(thickest.light < 0.04 ? { knob: { key: 'tube.kVp', way: 'up' } as const } : thickest.light > 0.4 ? { knob: { key: 'tube.kVp', way: 'down' } as const } : {}),
      sentence: `Behind the thickest place ${percent(thickest.light)} of the light is left (best for contrast is 13.5 %; here ${percent(contrastPerNoise(integral) / contrastPerNoise(2))} of that contrast for each photon)${thickest.light < 0.04 ? ': noise and hardening rule there, so raise the voltage or filter more' : thickest.light > 0.4 ? ': the object hardly shows, so lower the voltage' : ''}.`,
    },
    {
      key: 'behindElectrons', group: 'light', label: 'Electrons behind the thickest place', value: behind.electrons, unit: 'per pixel and view', rule: chainRule, mark: black ? 'bad' : markOf(behind.electrons / light.readNoise, [10, Infinity]),
      ...(behind.electrons < 10 * light.readNoise && { knob: { key: 'exposure.frames', way: 'up' } as const }),
      sentence: `There ${short(behind.electrons)} electrons are left in the camera, which reads with ${short(light.readNoise)} of noise${black ? ': too few to tell from black' : ''}.`,
    },
    {
      key: 'lineNoise', group: 'slice', label: 'Noise of a line integral, thickest place', value: thickest.noise, unit: '', rule: 'root of the relative variances of X-rays, light, reading and rounding added (first order of the logarithm)', good: [0, 0.1],
      mark: markOf(thickest.noise, [0, 0.1], [0, 1]), ...(thickest.noise > 0.1 && { knob: { key: 'exposure.frames', way: 'up' } as const }),
      sentence: `A line integral through the thickest place, ${short(integral)}, has a noise of ${short(thickest.noise)}${thickest.noise > 0.3 ? '; logarithms of so few quanta are also too high on average' : ''}.`,
    },
    {
      key: 'sliceNoise', group: 'slice', label: 'Noise of a slice', value: slice.noise, unit: '1/mm', rule: 'π · σ · √(mean of the filter squared)/√views, with the screen’s blur and the interpolation between cells (sliceNoise; on the middle of a cell, with the ramp, π·σ/(√(12·views)·pixel))',
      sentence: `A voxel in the middle of the object will vary by ${short(slice.noise)}/mm from noise alone; streaks of few views come on top.`,
    },
  );
  for (const part of slice.parts) {
    figures.push({
      key: `cnr.${part.name}`, group: 'slice', label: `Contrast to noise: ${part.name}`, value: part.cnr, unit: '', rule: 'difference of attenuation from what surrounds it, as this beam sees it, times what the blur leaves of a part so thin, over the noise of a voxel; 5 is enough to see a single voxel (Rose 1948, from memory)', good: [5, Infinity],
      mark: markOf(part.cnr, [5, Infinity], [0.5, Infinity]), ...(part.cnr < 5 && { knob: part.shown < 0.5 ? { key: 'camera.pitch', way: 'down' } as const : { key: 'exposure.frames', way: 'up' } as const }),
      parts: { value: part.value, contrast: part.contrast, shown: part.shown, thickness: part.thickness },
      sentence: `${part.name[0].toUpperCase()}${part.name.slice(1)} (${short(part.value)}/mm) differs from ${part.againstName} by ${short(part.contrast)}/mm${part.shown < 0.95 ? `, of which ${percent(part.shown)} is left, as it is only ${short(part.thickness)} mm thick` : ''}: ${short(part.cnr)} times the noise.`,
    });
  }
  return figures;
}
