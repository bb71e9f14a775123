import { Chart } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { discs, exposures, percent, photons, shown, size, type PhotonsResult } from './model.ts';

const log = (values: Float64Array) => values.map((value) => Math.log10(value));

export default plate(photons, ({ state, result, set }) => {
  const { chain, picture, often, against, formula } = result;
  const wide = size / discs.length;
  const away = often.value.map((value) => (value - 1) / formula);
  return (
    <>
      <Film image={picture} window={shown(formula)} unit="" extent={{ left: 0, right: size, top: size, bottom: 0 }} title="The patch of screen: above even, below discs that take a part of the light"
        labels={discs.map((share, k) => ({ x: (k + 0.5) * wide, y: 4, text: percent(share) }))} />
      <Stages {...result} />
      <div>
        <Chart title="The even half: how often each value comes" height={190} x={{ label: 'from the mean, in the formula’s deviations', domain: [-4, 4] }} y={{ label: 'pixels', domain: [0, 240] }}
          series={[{ name: 'simulated', x: away, y: often.drawn, kind: 'steps' }, { name: 'by the formula', x: away, y: often.formula, look: 'second' }]} />
        <Chart title="Noise against the exposure of one photograph" height={190} onDrag={(at) => set({ mAs: 10 ** at })} x={{ label: 'log₁₀ of mAs', domain: [Math.log10(exposures.least), Math.log10(exposures.most)] }} y={{ label: 'log₁₀ of the noise, %', domain: [-1.5, 2.5] }}
          series={[
            { name: 'all stages', x: log(against.mAs), y: log(against.chain.map((each) => 100 * each)) },
            { name: 'absorbed X-rays alone', x: log(against.mAs), y: log(against.xrays.map((each) => 100 * each)), look: 'second' },
            { name: 'here', x: [Math.log10(state.mAs)], y: [Math.log10(100 * chain.relativeNoise)], kind: 'dots', look: 'accent' },
          ]} />
      </div>
    </>
  );
});

function Stages({ chain, parts }: PhotonsResult) {
  const whole = chain.deviation ** 2;
  const shares: readonly (readonly [string, number])[] = [['absorbed X-rays', parts.xrays], ['light and electrons', parts.light], ['reading', parts.reading], ['steps of the file', parts.steps]];
  return (
    <div>
      <table class="plate-table">
        <caption>Quanta for each pixel and photograph</caption>
        <thead><tr><th scope="col">stage</th><th scope="col">quanta</th><th scope="col">for each absorbed</th></tr></thead>
        <tbody>
          {chain.stages.map(({ name, quanta }) => <tr><th scope="row">{name}{name === chain.sink ? ' ← the sink' : ''}</th><td>{short(quanta)}</td><td>{short(quanta / chain.stages[1].quanta)}</td></tr>)}
        </tbody>
      </table>
      <table class="plate-table">
        <caption>Where the noise comes from, shares of its square</caption>
        <thead><tr><th scope="col">source</th><th scope="col">share</th></tr></thead>
        <tbody>{shares.map(([name, variance]) => <tr><th scope="row">{name}</th><td>{((100 * variance) / whole).toFixed(1)} %</td></tr>)}</tbody>
      </table>
    </div>
  );
}
