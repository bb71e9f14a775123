// npm start: from a bare clone to the served book. PORT and HOST choose where it is served.
import { join } from 'node:path';
import { buildBook, buildKernels, installPackages, root } from './setup.mjs';
import { serve } from './serve.mjs';

installPackages();
buildKernels();
buildBook();
const { address } = await serve(join(root, 'dist'), { port: Number(process.env.PORT ?? 4321), host: process.env.HOST ?? '127.0.0.1' });
console.log(`\nShadows to Slices is open at ${address}\nCtrl+C closes it.`);
