// What `npm start` and `npm test` need before anything else: the packages, the pinned Node, and for the tests a browser and compilers.
// Runs on whatever Node the machine has (20 or newer).
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { homedir } from 'node:os';
import { delimiter, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { kernelsAreFresh } from './build-kernels.mjs';

export const root = fileURLToPath(new URL('..', import.meta.url));
const windows = process.platform === 'win32';

/** The Node that package.json pins, as the `node` package installs it. */
export const pinnedNode = join(root, 'node_modules', 'node', 'bin', windows ? 'node.exe' : 'node');

/** Where Node keeps code that it has compiled once (NODE_COMPILE_CACHE): a start takes half the time, and each worker some megabytes less. */
export const compiledCode = join(root, '.cache', 'compiled');

/** @type {Record<string, string | undefined>} */
export const environment = {
  ...process.env,
  ASTRO_TELEMETRY_DISABLED: '1',
  PATH: [join(root, 'node_modules', '.bin'), process.env.PATH].join(delimiter),
};

/** Stops with one sentence.
 * @returns {never} */
export function stop(sentence) {
  console.error(sentence);
  process.exit(1);
}

/** Runs a command in the project's root, its output shown; stops with its exit code if it fails. */
export function runOrStop(command, args, options = {}) {
  const { status, error } = spawnSync(command, args, { cwd: root, stdio: 'inherit', env: environment, ...options });
  if (error) stop(`Could not run ${command}: ${error.message}.`);
  if (status !== 0) process.exit(status ?? 1);
}

/** Runs one of the project's own tools (astro, vitest, tsc …) on the pinned Node. */
export function runTool(script, args, options = {}) {
  return spawnSync(pinnedNode, [join(root, script), ...args], { cwd: root, stdio: 'inherit', env: environment, ...options });
}

/** Installs the packages of the lockfile where they are missing or older than it. */
export function installPackages() {
  const lock = join(root, 'package-lock.json');
  const installed = join(root, 'node_modules', '.package-lock.json');
  const fresh = existsSync(installed) && statSync(installed).mtimeMs >= statSync(lock).mtimeMs;
  if (!fresh) {
    console.log('Installing the packages (once, a minute or two) …');
    runOrStop('npm', ['ci', '--no-audit', '--no-fund', '--loglevel=error'], { shell: windows });
  }
  if (!existsSync(pinnedNode)) {
    stop('The pinned Node is missing: the install script of the package "node" did not run. Allow install scripts (npm config set ignore-scripts false), delete node_modules and try again.');
  }
}

/** Compiles the simd engine's kernels (build-kernels.mjs) unless they are there and newer than their sources. What it says goes to stderr. */
export function buildKernels() {
  if (!kernelsAreFresh()) runOrStop(existsSync(pinnedNode) ? pinnedNode : process.execPath, [join(root, 'scripts', 'build-kernels.mjs')], { stdio: ['ignore', 2, 2] });
}

/** Builds the book into dist/ unless it is there and newer than everything it is made from. */
export function buildBook() {
  if (upToDate()) return;
  console.error('Building the book …');
  const began = new Date();
  runOrStop('npm', ['run', '--silent', 'build'], { shell: windows, stdio: ['ignore', 2, 2] });
  writeFileSync(stamp, '');
  utimesSync(stamp, began, began);
}

/** Left by a build that went through; as old as the beginning of it. */
const stamp = join(root, 'dist', '.built');

/** Whether the built book is newer than everything it is made from. */
function upToDate() {
  if (!existsSync(stamp)) return false;
  const made = statSync(stamp).mtimeMs;
  const sources = ['src', 'chapters', 'datasets', 'public', 'astro.config.mjs', 'package-lock.json'].map((name) => join(root, name));
  return sources.filter((path) => existsSync(path)).every((path) => newest(path) <= made);
}

function newest(path) {
  const { mtimeMs } = statSync(path);
  if (!statSync(path).isDirectory()) return mtimeMs;
  return Math.max(mtimeMs, ...readdirSync(path).map((name) => newest(join(path, name))));
}

const mayInstall = () => existsSync('/etc/debian_version') && process.getuid?.() === 0;
const quiet = { env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } };

/**
 * The compilers and the simulator that the tests of the controller's program need: installs Debian's where that can be done. Where it cannot, the
 * other tests can still run, and those tests say what to install.
 */
export function findCompilers() {
  const onPath = (name) => (process.env.PATH ?? '').split(delimiter).some((folder) => existsSync(join(folder, name)));
  const here = ['avr-g++', 'g++', 'gcc'].every(onPath) && existsSync('/usr/include/simavr/sim_avr.h') && existsSync('/usr/lib/avr/include/avr/io.h');
  if (here || !mayInstall()) return;
  console.log('Installing Debian\'s compiler and simulator for a small controller …');
  spawnSync('apt-get', ['update', '-qq'], { ...quiet, stdio: 'ignore' });
  spawnSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', 'gcc-avr', 'avr-libc', 'g++', 'libsimavr-dev'], { ...quiet, stdio: ['ignore', 'ignore', 'inherit'] });
}

/** GNU parallel, for the test of slabs: small. That test is skipped where it is not installed and cannot be. */
export function findParallel() {
  if ((process.env.PATH ?? '').split(delimiter).some((folder) => existsSync(join(folder, 'parallel'))) || !mayInstall()) return;
  console.log('Installing Debian\'s GNU parallel …');
  spawnSync('apt-get', ['update', '-qq'], { ...quiet, stdio: 'ignore' });
  spawnSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', 'parallel'], { ...quiet, stdio: ['ignore', 'ignore', 'inherit'] });
}

/** The path of a Chromium-like browser; installs Debian's where that can be done, otherwise says what to install. */
export function findBrowser() {
  const found = browserHere();
  if (found) return found;
  if (mayInstall()) {
    console.log('Installing Debian\'s chromium without its windows for the browser tests …');
    runOrStop('apt-get', ['update', '-qq'], quiet);
    const install = (name) => ['install', '-y', '-qq', '--no-install-recommends', name, 'fonts-liberation'];
    const slim = spawnSync('apt-get', install('chromium-headless-shell'), { ...quiet, stdio: 'ignore' });
    if (slim.status !== 0) runOrStop('apt-get', install('chromium'), { ...quiet, stdio: ['ignore', 'ignore', 'inherit'] });
  }
  return browserHere() ?? stop('The tests need a browser: install Chromium, Chrome or Edge, or set CHROME_PATH to the program.');
}

function browserHere() {
  const given = process.env.CHROME_PATH;
  if (given) return existsSync(given) ? given : stop(`CHROME_PATH names ${given}, which is not there; set it to the browser's program.`);
  // The first is Chromium without windows of its own: the tests take two thirds of the time.
  const names = ['chromium-headless-shell', 'chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'microsoft-edge'];
  const onPath = (process.env.PATH ?? '').split(delimiter).flatMap((folder) => names.map((name) => join(folder, name)));
  const programs = ['Google Chrome.app/Contents/MacOS/Google Chrome', 'Chromium.app/Contents/MacOS/Chromium'];
  const onMac = ['/Applications', join(homedir(), 'Applications')].flatMap((folder) => programs.map((program) => join(folder, program)));
  const onWindows = [process.env.PROGRAMFILES, process.env['PROGRAMFILES(X86)'], process.env.LOCALAPPDATA]
    .filter(Boolean)
    .flatMap((folder) => [join(folder, 'Google/Chrome/Application/chrome.exe'), join(folder, 'Microsoft/Edge/Application/msedge.exe')]);
  return [...onPath, ...onMac, ...onWindows].find((path) => existsSync(path));
}
