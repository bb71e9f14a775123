/**
 * Slabs beyond one machine: GNU parallel and a Slurm job array make them with the scripts that a reader uses, one slab is killed in the middle,
 * what is missing is made again, and the joined volume is the undivided one's to the last bit. Each is skipped where its tool is not installed.
 */
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { hostname, tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { writeNpy } from '../../src/lib/index.ts';

const root = new URL('../../', import.meta.url).pathname;
const slices = `${process.execPath} ${join(root, 'src/cli.ts')}`;
const slabs = 4;
const onPath = (name: string) => [...(process.env.PATH ?? '').split(delimiter), '/usr/sbin'].some((folder) => existsSync(join(folder, name)));

const folder = mkdtempSync(join(tmpdir(), 'slabs-'));
const whole = join(folder, 'whole.nrrd');
afterAll(() => rmSync(folder, { recursive: true, force: true }));

beforeAll(() => {
  const [views, rows, columns] = [90, 96, 96];
  let state = 7;
  const random = () => (state = (state * 48271) % 2147483647) / 2147483647;
  writeFileSync(join(folder, 'frames.npy'), writeNpy([views, rows, columns], Float32Array.from({ length: views * rows * columns }, random)));
  writeFileSync(join(folder, 'scan.json'), JSON.stringify({
    format: 'scan', version: 1, title: 'Noise', beam: { shape: 'cone', sourceToAxis: 400, sourceToDetector: 560 },
    detector: { pitch: 1, columns, rows, axisOffset: 0.6 }, angles: { step: 4, count: views },
    frames: { kind: 'line-integrals', file: 'frames.npy' }, reconstruction: { method: 'fbp', size: 80, pixelSize: 0.8 },
  }));
  const made = spawnSync(process.execPath, [join(root, 'src/cli.ts'), 'reconstruct', join(folder, 'scan.json'), '--engine', 'plain', '--out', whole], { encoding: 'utf8' });
  expect(made.status, made.stderr).toBe(0);
  // Makes slabs as slices does, but the first time that slab 2 is asked for it dies, by a signal that nobody can hear, in the middle of it.
  writeFileSync(join(folder, 'mortal.sh'), `#!/bin/sh
case "$*" in *" --slab 2/${slabs} "*)
  if mkdir "${folder}/killed-$WHO" 2>/dev/null; then
    ${slices} "$@" & sleep 0.3; kill -9 $!; wait $!; exit $?
  fi;;
esac
exec ${slices} "$@"
`, { mode: 0o755 });
});

function run(command: string, words: readonly string[], environment: Record<string, string>) {
  const { status, stdout, stderr } = spawnSync(command, words, { cwd: root, encoding: 'utf8', env: { ...process.env, PATH: `${process.env.PATH}${delimiter}/usr/sbin`, SLICES: join(folder, 'mortal.sh'), ...environment } });
  return { status, stdout, stderr };
}

const data = (path: string) => readdirSync(path).filter((name) => /part|unfinished/.test(name)).sort();
const withoutTwo = [1, 3, 4].flatMap((slab) => [`part-${slab}.json`, `part-${slab}.npy`]);

const parallelHere = onPath('parallel') && spawnSync('parallel', ['--version'], { encoding: 'utf8' }).stdout?.startsWith('GNU parallel');

test.skipIf(!parallelHere)('GNU parallel (skipped where it is not installed; Debian: parallel)', () => {
  const volume = join(folder, 'by parallel.nrrd'); // a name with a space in it
  const words = [join(folder, 'scan.json'), volume, String(slabs), '--engine', 'plain'];
  const again = () => run(join(root, 'scripts/slabs.parallel.sh'), words, { WHO: 'parallel', JOBS: '2' });

  const first = again();
  expect(existsSync(join(folder, 'killed-parallel')), 'slab 2 was killed').toBe(true);
  expect(first.status, first.stderr).not.toBe(0);
  expect(existsSync(volume)).toBe(false);
  expect(data(`${volume}.4-slabs`), 'the others are whole, of slab 2 there is nothing').toEqual(withoutTwo);
  const before = readFileSync(join(`${volume}.4-slabs`, 'joblog'), 'utf8').trim().split('\n').length;
  expect(before, 'a line of headings, and one a slab').toBe(1 + slabs);

  const second = again();
  expect(second.status, second.stderr).toBe(0);
  expect(second.stdout.match(/^slab .*$/gm)?.map((line) => line.replace(/\s+/g, ' ')), 'only the missing slab was made').toEqual(['slab 2 of 4: slices 20 to 39 of 80']);
  expect(readFileSync(volume).equals(readFileSync(whole))).toBe(true);
  expect(existsSync(`${volume}.4-slabs`), 'the slabs are cleared away').toBe(false);
});

const slurmHere = ['slurmctld', 'slurmd', 'munged', 'sbatch'].every(onPath) && process.getuid?.() === 0;

describe.skipIf(!slurmHere)('a Slurm job array on this host alone (skipped where Slurm is not installed or may not be started; Debian: slurm-wlm, munge, as root)', () => {
  const home = join(folder, 'slurm');
  const daemons: ReturnType<typeof spawn>[] = [];
  const environment = { SLURM_CONF: join(home, 'slurm.conf'), WHO: 'slurm' };

  beforeAll(async () => {
    for (const name of ['', 'state', 'spool', 'munge']) mkdirSync(join(home, name), { recursive: true, mode: 0o755 });
    writeFileSync(join(home, 'munge/key'), crypto.getRandomValues(new Uint8Array(1024)), { mode: 0o600 });
    const [control, daemon] = [await freePort(), await freePort()];
    writeFileSync(environment.SLURM_CONF, `ClusterName=alone
SlurmctldHost=${hostname()}(127.0.0.1)
SlurmUser=root
SlurmdUser=root
AuthType=auth/munge
AuthInfo=socket=${home}/munge/socket
StateSaveLocation=${home}/state
SlurmdSpoolDir=${home}/spool
SlurmctldPidFile=${home}/slurmctld.pid
SlurmdPidFile=${home}/slurmd.pid
SlurmctldPort=${control}
SlurmdPort=${daemon}
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
MpiDefault=none
SwitchType=switch/none
NodeName=alone NodeHostname=${hostname()} NodeAddr=127.0.0.1 CPUs=2 State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES State=UP
`);
    const start = (name: string, ...words: string[]) => daemons.push(spawn(name, words, { stdio: 'ignore', env: { ...process.env, PATH: `${process.env.PATH}${delimiter}/usr/sbin`, ...environment } }));
    start('munged', '--foreground', '--force', `--key-file=${home}/munge/key`, `--socket=${home}/munge/socket`, `--pid-file=${home}/munge/pid`, `--log-file=${home}/munge/log`, `--seed-file=${home}/munge/seed`);
    await until(() => existsSync(join(home, 'munge/socket')));
    start('slurmctld', '-D', '-f', environment.SLURM_CONF);
    start('slurmd', '-D', '-f', environment.SLURM_CONF, '-N', 'alone');
    await until(() => run('sinfo', ['--noheader', '--format=%T'], environment).stdout.trim() === 'idle');
  });
  afterAll(async () => {
    for (const daemon of daemons.reverse()) {
      const ended = new Promise((resolve) => daemon.once('exit', resolve));
      if (daemon.exitCode === null && daemon.kill('SIGTERM')) await ended;
    }
  });

  test('a task is killed, is made again alone, and the volume is the undivided one', async () => {
    const parts = join(folder, 'by-slurm');
    const submit = async (array: string) => {
      const { status, stdout, stderr } = run('sbatch', ['--parsable', `--array=${array}`, `--output=${folder}/slurm-%a.log`, 'scripts/slabs.sbatch', join(folder, 'scan.json'), parts, String(slabs), '--engine', 'plain'], environment);
      expect(status, stderr).toBe(0);
      await until(() => run('squeue', ['--noheader', `--job=${stdout.trim()}`], environment).stdout.trim() === '');
      return stdout.trim();
    };
    const joined = () => run('node', ['scripts/slices.mjs', 'join', ...readdirSync(parts).filter((name) => name.endsWith('.npy')).map((name) => join(parts, name)), '--out', join(folder, 'by-slurm.nrrd')], environment);

    const job = await submit(`1-${slabs}`);
    const states = run('scontrol', ['show', 'job', job], environment).stdout;
    expect(states.match(/JobState=FAILED/g), states).toHaveLength(1);
    expect(states.match(/JobState=COMPLETED/g), states).toHaveLength(slabs - 1);
    expect(data(parts), 'of slab 2 there is nothing').toEqual(withoutTwo);
    const refused = joined();
    expect(refused.status).toBe(2);
    expect(refused.stderr).toBe('slices: Slab 2 of 4 is missing: slices reconstruct … --slab 2/4 makes it.\n');

    await submit('2');
    const second = joined();
    expect(second.status, second.stderr).toBe(0);
    expect(readFileSync(join(folder, 'by-slurm.nrrd')).equals(readFileSync(whole))).toBe(true);
  });
});

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => { server.listen(0, '127.0.0.1', resolve); });
  const { port } = server.address() as { port: number };
  await new Promise((resolve) => { server.close(resolve); });
  return port;
}

async function until(done: () => boolean): Promise<void> {
  const end = performance.now() + 60_000;
  while (!done()) {
    if (performance.now() > end) throw new Error('waited a minute in vain');
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
}
