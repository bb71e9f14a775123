#!/usr/bin/env node
/** The command line: slices verify | reconstruct | join | align | compare | rehearse. */
import { main } from './command-line/main.ts';

// A reader that stops listening, as in `slices verify | head`, is no mistake.
process.stdout.on('error', (error: NodeJS.ErrnoException) => process.exit(error.code === 'EPIPE' ? 0 : 1));

process.exitCode = await main(process.argv.slice(2));
