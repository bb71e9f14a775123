/** The results as tables, for the Markdown file and for the page. Pure. */
import type { Results, Tried } from './results.ts';
import { dataOf, inWords, updatesOf, type EngineTried } from './tasks.ts';

export interface Table {
  readonly id: string;
  readonly title: string;
  /** What the columns mean. */
  readonly note: string;
  readonly head: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

/** Operations that an update takes at least: the place (2), straight-line interpolation between two numbers (3), adding (1). */
const operationsInUpdate = 6;

export function tablesOf(results: Results): Table[] {
  return [besideTable(results), limitsTable(results), memoryTable(results), growthTable(results), ...cardTables(results), platesTable(results), pagesTable(results)].filter((table) => table.rows.length > 0);
}

function besideTable({ tasks }: Results): Table {
  const slice = tasks.find(({ task }) => task.kind === 'fbp');
  const theirs = slice?.peers.find(({ peer }) => peer === 'scikit-image')?.found;
  const iradon = theirs && updatesOf(slice.task) / theirs.milliseconds;
  return {
    id: 'beside-peers', title: 'The same task, one run, beside general-purpose libraries',
    note: 'Medians. An update is a pixel or voxel given its share of one view, or giving it. Times faster: of the peer’s time to ours. A dash: the peer has no function for it, or is not installed. The last column sets an update that smears back beside one of scikit-image’s iradon, whatever the beam.',
    head: ['task', 'by', 'time', 'range', 'updates a second', 'than scikit-image', 'than Octave', 'an update, than iradon'],
    rows: tasks.flatMap(({ task, engines, peers }) => {
      const than = (ms: number, name: string) => { const peer = peers.find(({ peer }) => peer === name)?.found; return peer ? `${digits(peer.milliseconds / ms)} ×` : '–'; };
      const smears = task.kind === 'fbp' || task.kind === 'fan' || task.kind === 'fdk';
      const perUpdate = (ms: number) => (smears && iradon ? `${digits(updatesOf(task) / ms / iradon)} ×` : '');
      const rate = (ms: number) => `${digits(updatesOf(task) / ms / 1e6)} G`;
      const range = ([least, most]: readonly [number, number], runs: number) => (runs > 1 ? `${time(least)} to ${time(most)}, ${runs} runs` : '1 run');
      return [
        ...engines.map((engine) => [inWords(task), nameOf(engine), time(engine.milliseconds), range(engine.range, engine.runs), rate(engine.milliseconds), than(engine.milliseconds, 'scikit-image'), than(engine.milliseconds, 'Octave image'), perUpdate(engine.milliseconds)]),
        ...peers.flatMap(({ peer, named, found }) => (found ? [[inWords(task), `${peer} ${found.version}, ${named}`, time(found.milliseconds), range(found.range, found.runs), rate(found.milliseconds), '', '', '']] : [])),
      ];
    }),
  };
}

function limitsTable({ tasks, limits }: Results): Table {
  return {
    id: 'limits', title: 'What share of the machine that is',
    note: `One core copies ${digits(limits.bandwidth / 1e9)} GB a second (read and written) and makes ${digits(limits.operations / 1e9)} G multiplications and additions a second in WebAssembly’s vectors of four. An update takes ${operationsInUpdate} operations at least; the views have to be read and the picture written once at least. Filters, and reading the same numbers again, come on top, so that neither share can be 100 %.`,
    head: ['task', 'by', 'of the arithmetic', 'of the bandwidth'],
    rows: tasks.flatMap(({ task, engines }) => engines.filter(({ engine }) => engine !== 'gpu').map((tried) => {
      const cores = 'workers' in tried && tried.workers ? tried.workers : 1;
      const seconds = tried.milliseconds / 1000;
      return [inWords(task), nameOf(tried), percent((operationsInUpdate * updatesOf(task)) / seconds / (cores * limits.operations)), percent(dataOf(task) * (task.iterations ?? 1) / seconds / (cores * limits.bandwidth))];
    })),
  };
}

function memoryTable({ tasks }: Results): Table {
  return {
    id: 'memory', title: 'Memory',
    note: 'Each task in a process of its own, Node, Python or Octave included: the most that it had; how much of that was its own, without pages of program files, which programs share and the system can drop (only Linux tells); and how much of its own was neither views nor picture. To reach for the volume: 64 MB a worker.',
    head: ['task', 'by', 'views and picture', 'peak', 'its own', 'beside views and picture'],
    rows: tasks.flatMap(({ task, engines, peers }) => [
      ...engines.map((tried) => [inWords(task), nameOf(tried), bytes(dataOf(task)), bytes(tried.peak), bytes(tried.own), bytes(tried.own - dataOf(task))]),
      ...peers.flatMap(({ peer, named, found }) => (found?.peak ? [[inWords(task), `${peer}, ${named}`, bytes(dataOf(task)), bytes(found.peak), '', '']] : [])),
    ]),
  };
}

function growthTable({ growth }: Results): Table {
  const sizes = [...new Set(growth.flatMap(({ kind, points }) => points.map(({ size }) => `${size}${kind === 'slices' ? '²' : '³'}`)))];
  return {
    id: 'growth', title: 'How the time grows with the size',
    note: 'As many views as pixels along an edge, so that a slice takes the third power of its size in updates and a volume the fourth. The exponent is that of the power law of least squares through the times; filters and fixed costs grow more slowly.',
    head: ['work', 'by', ...sizes, 'exponent'],
    rows: growth.map(({ kind, engine, points, exponent }) => [
      kind, nameOf(engine),
      ...sizes.map((size) => { const point = points.find((each) => size === `${each.size}${kind === 'slices' ? '²' : '³'}`); return point ? time(point.milliseconds) : '–'; }),
      exponent === null ? '–' : exponent.toFixed(2),
    ]),
  };
}

function cardTables({ gpu }: Results): Table[] {
  if (!gpu) return [];
  const { card, date, machine, samplesPerSecond, backprojection, whole, transfers } = gpu;
  return [{
    id: 'card', title: 'On a graphics card',
    note: `${card}; ${machine}, Node ${gpu.node}, ${date}. The kernel that smears back, with views and volume on the card. Its limit is how many texture samples the card takes in a second with nothing else to do: ${[samplesPerSecond.r32float === null ? '' : `${digits(samplesPerSecond.r32float / 1e9)} G of 32-bit floats`, `${digits(samplesPerSecond.r16float / 1e9)} G of 16-bit floats`].filter(Boolean).join(', ')}; an update takes one.`,
    head: ['cone beam', 'interpolated by', 'updates a second', 'of the limit'],
    rows: backprojection.map(({ scan, interpolation, updatesPerSecond, shareOfLimit }) => [scan, interpolation, `${digits(updatesPerSecond / 1e9)} G`, shareOfLimit === null ? '–' : percent(shareOfLimit)]),
  }, {
    id: 'card-whole', title: 'From frames in memory to the volume in memory, on that card',
    note: `Filter and transfers included (${digits(transfers.upBytesPerSecond / 1e9)} GB a second to the card, ${digits(transfers.downBytesPerSecond / 1e9)} GB back). The first run builds the programs for the card.`,
    head: ['cone beam', 'interpolated by', 'best', 'median', 'first'],
    rows: whole.map(({ scan, interpolation, best, median, first }) => [scan, interpolation, time(best), time(median), time(first)]),
  }];
}

function platesTable({ plates }: Results): Table {
  return {
    id: 'plates', title: 'From a moved control to the drawn picture',
    note: 'In a headless browser without a graphics card, every control of every plate moved through its range. To reach: half of the moves within 16 ms at 128², within 50 ms at 256² where a plate offers that.',
    head: ['plate', 'pixels', 'moves', 'median', '95 %', 'worst'],
    rows: (plates ?? []).filter(({ control }) => control === 'all').map(({ plate, pixels, moves, median, p95, worst }) => [plate, pixels ? `${pixels}²` : 'as it starts', String(moves), time(median), time(p95), time(worst)]),
  };
}

function pagesTable({ pages }: Results): Table {
  return {
    id: 'pages', title: 'What a chapter loads',
    note: 'Script, compressed (gzip): when the page opens, and once every plate has been in sight. To reach: 200 kB at most before a plate is used.',
    head: ['chapter', 'opened', 'read to its end'],
    rows: (pages ?? []).map(({ title, opened, read }) => [title, bytes(opened), bytes(read)]),
  };
}

export function markdownOf(results: Results): string {
  const { date, machine, quick, seconds } = results;
  const table = ({ title, note, head, rows }: Table) => `## ${title}\n\n${note}\n\n${line(head)}\n${line(head.map(() => '---'))}\n${rows.map(line).join('\n')}\n`;
  return `# The last run of the benchmarks\n\n${date}, ${machine.processor}, ${machine.cores} cores, ${bytes(machine.memory)} of memory, Node ${machine.node}; ${Math.round(seconds)} s${quick ? ', the larger sizes left out' : ''}.${busyWords(results)} Written by \`npm run benchmark -- --keep\`; not by hand.\n\n${tablesOf(results).map(table).join('\n')}`;
}

/** Said where other work may have slowed a run down. */
export function busyWords({ machine: { load, cores } }: Results): string {
  return load > 0.25 * cores ? ` Other programs were at work when it began (a load of ${digits(load)} on ${cores} cores), so that times are longer than on an idle machine and ratios less sure.` : '';
}

const line = (cells: readonly string[]) => `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;

export function nameOf(tried: EngineTried | Tried): string {
  if (tried.engine === 'gpu') return 'gpu';
  return tried.engine === 'plain' ? 'plain' : `simd, ${tried.workers} ${tried.workers === 1 ? 'worker' : 'workers'}`;
}

/** Three digits that count: 0.123, 12.3, 1,230. */
export function digits(value: number): string {
  return Number(value.toPrecision(3)).toLocaleString('en-GB', { maximumFractionDigits: 6 });
}

export function time(milliseconds: number): string {
  return milliseconds < 1000 ? `${digits(milliseconds)} ms` : `${digits(milliseconds / 1000)} s`;
}

export function bytes(count: number): string {
  return count < 1e6 ? `${digits(count / 1e3)} kB` : count < 1e9 ? `${digits(count / 1e6)} MB` : `${digits(count / 1e9)} GB`;
}

const percent = (share: number) => `${digits(100 * share)} %`;
