/**
 * What every reader throws when the input is at fault: one sentence that says what is wrong, where, and what would be right.
 * Anything else that is thrown is a mistake of ours.
 */
export class BadInput extends Error {
  override name = 'BadInput';
}
