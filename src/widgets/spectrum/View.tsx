import { Chart } from '../chart/Chart.tsx';
import { Film } from '../film/Film.tsx';
import { short } from '../film/numbers.ts';
import { plate } from '../frame/plate.tsx';
import { deepest, spectrum, steps, type Reading } from './model.ts';

export default plate(spectrum, ({ state, result, set }) => {
  const { keV, before, after, readings, decay, stair } = result;
  const extent = { left: 0, right: steps.length, top: 2, bottom: 0 };
  return (
    <>
      <Chart title="Photons by their energy" height={230} onDrag={(at) => set({ kVp: Math.round(at) })} x={{ label: 'energy', unit: 'keV', domain: [0, 120] }} y={{ label: 'share of the most before the filter', domain: [0, 1] }}
        series={[{ name: 'before the filter', x: keV, y: before, look: 'second' }, { name: 'behind it', x: keV, y: after, kind: 'area' }]}
        rules={[{ x: state.kVp, name: 'the voltage', look: 'accent' }]} />
      <Chart title="What is left of the air kerma behind aluminium" height={230} x={{ label: 'aluminium', unit: 'mm', domain: [0, deepest] }} y={{ label: 'share', domain: [0, 1] }}
        series={[
          { name: 'without the filter', x: decay.mm, y: decay.before, look: 'second' }, { name: 'with it', x: decay.mm, y: decay.after },
          { name: 'half-value layers', kind: 'dots', look: 'accent', x: [readings.after.first, readings.after.first + readings.after.second], y: [0.5, 0.25] },
        ]} />
      <Film image={stair} window={[0, 1]} unit="" aspect={2.6} extent={extent} title="A stair of aluminium on the screen, steps in mm: above without the filter, below with it"
        labels={steps.map((mm, k) => ({ x: k + 0.5, y: 1, text: String(mm) }))} />
      <Readings {...readings} />
    </>
  );
});

function Readings({ before, after }: { before: Reading; after: Reading }) {
  const rows: readonly (readonly [string, (reading: Reading) => string])[] = [
    ['air kerma, µGy/mAs at 1 m', ({ kerma }) => short(kerma)],
    ['within a factor of 2: from', ({ kerma }) => short(kerma / 2)],
    ['to', ({ kerma }) => short(kerma * 2)],
    ['photons, 1/(mm² mAs) at 1 m', ({ photons }) => short(photons)],
    ['mean energy, keV', ({ mean }) => mean.toFixed(1)],
    ['effective energy, keV', ({ effective }) => effective.toFixed(1)],
    ['half-value layer, mm Al', ({ first }) => short(first)],
    ['the next, mm Al', ({ second }) => short(second)],
  ];
  return (
    <table class="plate-table">
      <caption>An estimate; measure yours</caption>
      <thead><tr><th scope="col">of the beam</th><th scope="col">before</th><th scope="col">behind the filter</th></tr></thead>
      <tbody>{rows.map(([name, of]) => <tr><th scope="row">{name}</th><td>{of(before)}</td><td>{of(after)}</td></tr>)}</tbody>
    </table>
  );
}
