import { expect } from 'vitest';
import { BadInput } from '../../../src/lib/files/bad-input.ts';

/** The sentence with which the reader refuses; fails if it accepts, or throws anything but BadInput. */
export async function refusal(read: () => unknown): Promise<string> {
  let result: unknown;
  try {
    result = await read();
  } catch (error) {
    expect(error, `should be refused with a sentence, not break: ${(error as Error).stack}`).toBeInstanceOf(BadInput);
    const { message } = error as BadInput;
    expect(message, 'a sentence begins with a capital or a name').toMatch(/^\S/);
    expect(message, 'a sentence ends with a stop').toMatch(/[.?]$/);
    return message;
  }
  throw new Error(`should be refused, but gave ${JSON.stringify(result).slice(0, 200)}`);
}

/** Runs a reader on bytes that may be anything: it may accept or refuse, and nothing else. Says how it ended. */
export async function outcome(read: () => unknown): Promise<'read' | 'refused'> {
  try {
    await read();
    return 'read';
  } catch (error) {
    if (error instanceof BadInput) return 'refused';
    throw error;
  }
}
