/**
 * npm run benchmark [-- --json]: the plain engine beside scikit-image in one run, the plates' answer to a moved control,
 * and the script a chapter page loads. Timings depend on the machine: they are printed here and never tested.
 */
import { existsSync } from 'node:fs';
import { cpus } from 'node:os';
import { join } from 'node:path';
import { findBrowser, root } from '../scripts/setup.mjs';
import { serve } from '../scripts/serve.mjs';
import { benchmarkFbp } from './fbp.ts';
import { benchmarkPlates } from './plates.ts';

const json = process.argv.includes('--json');
const say = (text: string) => { if (!json) console.log(text); };

const machine = `${cpus()[0]?.model.trim() ?? 'unknown processor'}, ${cpus().length} cores, Node ${process.version}`;
say(`${new Date().toISOString().slice(0, 10)}, ${machine}\n`);

const reconstruction = await benchmarkFbp();
say('Reconstruction (median of several runs)');
for (const row of [reconstruction].flat()) say(`  ${JSON.stringify(row)}`);

const dist = join(root, 'dist');
if (!existsSync(join(dist, 'index.html'))) throw new Error('The book is not built: run npm run build, then npm run benchmark.');
process.env.CHROME_PATH = findBrowser();
const { address, close } = await serve(dist);
const plates = await benchmarkPlates(address);
await close();
say('\nPlates at 128²: from a moved control to the drawn picture, ms (to reach: median 16, 95th percentile 33)');
for (const row of plates) say(`  ${JSON.stringify(row)}`);

if (json) console.log(JSON.stringify({ machine, date: new Date().toISOString(), reconstruction, plates }));
