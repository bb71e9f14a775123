/**
 * npm run benchmark [-- --json]: fbp beside scikit-image in one run, then how soon each plate answers a moved control in a real browser.
 * Timings belong to the machine they were taken on: they are printed here and never tested.
 */
import { cpus } from 'node:os';
import { join } from 'node:path';
import { serve } from '../scripts/serve.mjs';
import { buildBook, findBrowser, root } from '../scripts/setup.mjs';
import { benchmarkFbp } from './fbp.ts';
import { benchmarkPlates } from './plates.ts';

const json = process.argv.includes('--json');
const say = (text: string) => { if (!json) console.log(text); };

buildBook();
process.env.CHROME_PATH = findBrowser();
const machine = `${cpus()[0]?.model.trim() ?? 'unknown processor'}, ${cpus().length} cores, Node ${process.version}`;
const date = new Date().toISOString().slice(0, 10);
say(`${date}, ${machine}\n`);

const fbp = await benchmarkFbp();
const rate = (updates: number | null) => (updates === null ? '' : `, ${(updates / 1e9).toFixed(2)} G updates/s`);
say(`${fbp.name}, filter included
  ours ${fbp.ours.toFixed(0)} ms${rate(fbp.updatesPerSecond)}
  ${fbp.peer === null ? 'no peer' : `peer ${fbp.peer.toFixed(0)} ms${rate(fbp.peerUpdatesPerSecond)}`}
  ratio ${fbp.ratio === null ? '–' : `${fbp.ratio.toFixed(2)} times as fast as the peer (to reach: 1)`}
  ${fbp.note}
`);

const { address, close } = await serve(join(root, 'dist'));
const plates = await benchmarkPlates(address);
await close();
say('From a moved control to the drawn picture, 128², ms (to reach: median 16, 95th percentile 33)');
say(`  ${'plate'.padEnd(15)}${'control'.padEnd(12)}${'moves'.padStart(6)}${'median'.padStart(8)}${'95 %'.padStart(8)}${'worst'.padStart(8)}`);
for (const { plate, control, moves, median, p95, worst } of plates) {
  say(`  ${plate.padEnd(15)}${control.padEnd(12)}${String(moves).padStart(6)}${[median, p95, worst].map((ms) => ms.toFixed(1).padStart(8)).join('')}`);
}

if (json) console.log(JSON.stringify({ machine, date, fbp, plates }));
