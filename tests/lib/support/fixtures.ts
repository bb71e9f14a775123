import { existsSync, readFileSync } from 'node:fs';

/** A check value file, parsed; datasets/check-values/README.md says what each holds. */
export function fixture<T = FloatArray>(name: string): T {
  return JSON.parse(readFileSync(new URL(`../../../datasets/check-values/${name}.json`, import.meta.url), 'utf8')) as T;
}

export interface FloatArray {
  readonly shape: [number, number];
  readonly data_base64: string;
}

/** The rows × columns of a fixture that holds one array. */
export function tableOf({ shape: [rows, columns], data_base64 }: FloatArray) {
  const bytes = Uint8Array.from(Buffer.from(data_base64, 'base64'));
  return { rows, columns, data: new Float32Array(bytes.buffer) };
}

/** The measured scans that may lie beside the checkout; tests that need them say that they were skipped where they are not. */
export const measuredFolder = new URL('../../../../shared/measured/', import.meta.url);
export const hasMeasured = existsSync(new URL('disc-01a/scan.json', measuredFolder));
