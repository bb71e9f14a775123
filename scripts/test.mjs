// npm test: from a bare clone to every check run, a real browser and a controller's compiler included. Arguments go on to the test runner.
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { buildBook, buildKernels, environment, findBrowser, findCompilers, findParallel, installPackages, root, runTool, stop } from './setup.mjs';

installPackages();
environment.CHROME_PATH = findBrowser();
findCompilers();
findParallel();

buildKernels();
buildBook();
environment.SITE_DIST = join(root, 'dist');

// After the build, which makes the types of the chapters' frontmatter.
console.log('Checking types …');
const types = runTool('node_modules/@astrojs/check/bin/astro-check.js', ['--minimumSeverity', 'warning']).status === 0;

const report = join(root, '.cache', 'tests.json');
mkdirSync(join(root, '.cache'), { recursive: true });
rmSync(report, { force: true });
const { status } = runTool('node_modules/vitest/vitest.mjs', ['run', '--reporter=default', '--reporter=json', `--outputFile.json=${report}`, ...process.argv.slice(2)]);

if (!existsSync(report)) stop('The test runner ended without a report; what it said last is above.');
const { numPassedTests, numFailedTests, numPendingTests, numTodoTests } = JSON.parse(readFileSync(report, 'utf8'));
if (!types) console.log('The types do not hold: see the first errors above.');
const failed = numFailedTests + (types ? 0 : 1);
console.log(`${numPassedTests + (types ? 1 : 0)} passed, ${failed} failed, ${numPendingTests + numTodoTests} skipped`);
process.exit(status || (failed ? 1 : 0));
