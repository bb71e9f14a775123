/**
 * A WebAssembly module of one function, rounds → a number: in each round twelve sums of four floats are multiplied and added to, 12 · 4 · 2 operations.
 * Twelve chains that do not wait for each other keep a core's vector units busy, so that its time tells what the core can do at best.
 */
export function multiplyAddModule(): Uint8Array<ArrayBuffer> {
  const sums = 12;
  const section = (id: number, bytes: number[]) => [id, ...leb(bytes.length), ...bytes];
  const vector = (value: number) => [0xfd, 0x0c, ...Array.from({ length: 4 }, () => [...new Uint8Array(Float32Array.of(value).buffer)]).flat()]; // v128.const
  const get = (local: number) => [0x20, local], set = (local: number) => [0x21, local];
  const multiply = [0xfd, ...leb(0xe6)], add = [0xfd, ...leb(0xe4)]; // f32x4.mul, f32x4.add
  const firstSum = 1, factor = firstSum + sums, addend = factor + 1;
  const body = [
    ...vector(0.999), ...set(factor), ...vector(0.001), ...set(addend),
    ...Array.from({ length: sums }, (_, k) => [...vector(1 + k), ...set(firstSum + k)]).flat(),
    0x03, 0x40, // loop
    ...Array.from({ length: sums }, (_, k) => [...get(firstSum + k), ...get(factor), ...multiply, ...get(addend), ...add, ...set(firstSum + k)]).flat(),
    ...get(0), 0x41, 1, 0x6b, 0x22, 0, 0x0d, 0, 0x0b, // rounds − 1, again unless 0; end
    ...get(firstSum), ...Array.from({ length: sums - 1 }, (_, k) => [...get(firstSum + 1 + k), ...add]).flat(),
    0xfd, 0x1f, 0, 0x0b, // the first float; end
  ];
  const locals = [1, ...leb(sums + 2), 0x7b];
  const code = [...locals, ...body];
  return Uint8Array.from([
    0x00, 0x61, 0x73, 0x6d, 1, 0, 0, 0,
    ...section(1, [1, 0x60, 1, 0x7f, 1, 0x7d]), // (i32) → f32
    ...section(3, [1, 0]),
    ...section(7, [1, 1, 0x66, 0, 0]), // "f"
    ...section(10, [1, ...leb(code.length), ...code]),
  ]);
}

/** Operations in one round: a multiplication and an addition for each of four floats of twelve sums. */
export const operationsInRound = 12 * 4 * 2;

/** A number from 0 on, seven bits a byte, the lowest first. */
function leb(value: number): number[] {
  return value < 128 ? [value] : [(value & 127) | 128, ...leb(value >>> 7)];
}
