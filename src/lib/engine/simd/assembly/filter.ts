/**
 * Rows weighed and filtered, four at a time: two complex transforms side by side in f64x2, each of two real rows, one as its real part and one
 * as its imaginary part; the filter's response is real and even, so they do not mix. In double precision, because the ramp takes most of a view's
 * slow changes out, and what single precision rounds off them would stay.
 * Forward the transform leaves its numbers in bit-reversed order, where the response is waiting for them, and backward takes them up there.
 */

/**
 * source: row 0 of the `count` (1 to 4) rows, sourceStride numbers apart, `cells` numbers each.
 * shares: a factor for each row.   weights: f64, a number a cell for each row, weightStride numbers apart.   across: f64, a number a cell for all.
 * target: where row r, cell j goes: r · rowStride + j · cellStride numbers further; where only rowStride is 1 all four are always written.
 * length: of the transform, a power of two; 0: weighed only.   response: f64, bit-reversed, with 1/length in it.   turns: e^(−2πij/length), f64 pairs.
 * work: 32 · max(length, cells) bytes.
 */
export function filterRows(
  source: usize, sourceStride: i32, count: i32, cells: i32, shares: usize, weights: usize, weightStride: i32, across: usize,
  target: usize, rowStride: i32, cellStride: i32, length: i32, response: usize, turns: usize, work: usize,
): void {
  memory.fill(work, 0, (<usize>max(length, cells)) << 5);
  for (let row = 0; row < count; row++) {
    const share = load<f64>(shares + ((<usize>row) << 3));
    let from = source + ((<usize>row * <usize>sourceStride) << 2), weight = weights + ((<usize>row * <usize>weightStride) << 3), beside = across;
    // Rows 0 and 1 are the real parts, 2 and 3 the imaginary ones: they come out in order.
    const end = work + ((<usize>cells) << 5) + ((<usize>row) << 3);
    for (let to = work + ((<usize>row) << 3); to < end; to += 32) {
      store<f64>(to, share * load<f64>(weight) * load<f64>(beside) * <f64>load<f32>(from));
      from += 4;
      weight += 8;
      beside += 8;
    }
  }
  if (length > 0) {
    forward(work, length, turns);
    for (let k: usize = 0; k < <usize>length; k++) {
      const gain = v128.load_splat<u64>(response + (k << 3)), at = work + (k << 5);
      v128.store(at, f64x2.mul(v128.load(at), gain));
      v128.store(at, f64x2.mul(v128.load(at, 16), gain), 16);
    }
    backward(work, length, turns);
  }
  if (rowStride === 1 && cellStride !== 1) {
    let to = target;
    for (let j: usize = 0; j < <usize>cells; j++) {
      const low = f32x4.demote_f64x2_zero(v128.load(work + (j << 5))), high = f32x4.demote_f64x2_zero(v128.load(work + (j << 5), 16));
      v128.store(to, v128.shuffle<f32>(low, high, 0, 1, 4, 5));
      to += (<usize>cellStride) << 2;
    }
  } else {
    for (let row = 0; row < count; row++) {
      let to = target + ((<usize>row * <usize>rowStride) << 2);
      for (let j: usize = 0; j < <usize>cells; j++) {
        store<f32>(to, <f32>load<f64>(work + (j << 5) + ((<usize>row) << 3)));
        to += (<usize>cellStride) << 2;
      }
    }
  }
}

/** Two halvings (decimation in frequency) in one go, and a last one where the length is an odd power of two. */
function forward(work: usize, length: i32, turns: usize): void {
  let size = length;
  for (; size >= 8; size >>= 2) {
    const quarter = (<usize>size >> 2) << 5, stride = (<usize>(length / size)) << 4;
    for (let block = work; block < work + ((<usize>length) << 5); block += quarter << 2) {
      let turn: usize = 0;
      for (let p = block; p < block + quarter; p += 32) {
        const q = p + quarter, r = q + quarter, s = r + quarter;
        const pr = v128.load(p), pi = v128.load(p, 16), qr = v128.load(q), qi = v128.load(q, 16);
        const rr = v128.load(r), ri = v128.load(r, 16), sr = v128.load(s), si = v128.load(s, 16);
        const ar = f64x2.add(pr, rr), ai = f64x2.add(pi, ri), br = f64x2.add(qr, sr), bi = f64x2.add(qi, si);
        const cr = f64x2.sub(pr, rr), ci = f64x2.sub(pi, ri), dr = f64x2.sub(qr, sr), di = f64x2.sub(qi, si);
        v128.store(p, f64x2.add(ar, br));
        v128.store(p, f64x2.add(ai, bi), 16);
        turned(q, f64x2.sub(ar, br), f64x2.sub(ai, bi), turns + 2 * turn);
        turned(r, f64x2.add(cr, di), f64x2.sub(ci, dr), turns + turn); // c − i·d
        turned(s, f64x2.sub(cr, di), f64x2.add(ci, dr), turns + 3 * turn); // c + i·d
        turn += stride;
      }
    }
  }
  if (size === 4) {
    for (let p = work; p < work + ((<usize>length) << 5); p += 128) {
      const pr = v128.load(p), pi = v128.load(p, 16), qr = v128.load(p, 32), qi = v128.load(p, 48);
      const rr = v128.load(p, 64), ri = v128.load(p, 80), sr = v128.load(p, 96), si = v128.load(p, 112);
      const ar = f64x2.add(pr, rr), ai = f64x2.add(pi, ri), br = f64x2.add(qr, sr), bi = f64x2.add(qi, si);
      const cr = f64x2.sub(pr, rr), ci = f64x2.sub(pi, ri), dr = f64x2.sub(qr, sr), di = f64x2.sub(qi, si);
      v128.store(p, f64x2.add(ar, br));
      v128.store(p, f64x2.add(ai, bi), 16);
      v128.store(p, f64x2.sub(ar, br), 32);
      v128.store(p, f64x2.sub(ai, bi), 48);
      v128.store(p, f64x2.add(cr, di), 64);
      v128.store(p, f64x2.sub(ci, dr), 80);
      v128.store(p, f64x2.sub(cr, di), 96);
      v128.store(p, f64x2.add(ci, dr), 112);
    }
  } else if (size === 2) halve(work, length);
}

/** The way back, with the conjugate turns. */
function backward(work: usize, length: i32, turns: usize): void {
  let size = 4;
  if (ctz(length) & 1) {
    halve(work, length);
    size = 8;
  }
  for (; size <= length; size <<= 2) {
    const quarter = (<usize>size >> 2) << 5, stride = (<usize>(length / size)) << 4;
    for (let block = work; block < work + ((<usize>length) << 5); block += quarter << 2) {
      let turn: usize = 0;
      for (let p = block; p < block + quarter; p += 32) {
        const q = p + quarter, r = q + quarter, s = r + quarter;
        const pr = v128.load(p), pi = v128.load(p, 16);
        let real = v128.load_splat<u64>(turns + 2 * turn), imaginary = v128.load_splat<u64>(turns + 2 * turn, 8);
        let xr = v128.load(q), xi = v128.load(q, 16);
        const qr = f64x2.add(f64x2.mul(xr, real), f64x2.mul(xi, imaginary)), qi = f64x2.sub(f64x2.mul(xi, real), f64x2.mul(xr, imaginary));
        real = v128.load_splat<u64>(turns + turn), imaginary = v128.load_splat<u64>(turns + turn, 8);
        xr = v128.load(r), xi = v128.load(r, 16);
        const rr = f64x2.add(f64x2.mul(xr, real), f64x2.mul(xi, imaginary)), ri = f64x2.sub(f64x2.mul(xi, real), f64x2.mul(xr, imaginary));
        real = v128.load_splat<u64>(turns + 3 * turn), imaginary = v128.load_splat<u64>(turns + 3 * turn, 8);
        xr = v128.load(s), xi = v128.load(s, 16);
        const sr = f64x2.add(f64x2.mul(xr, real), f64x2.mul(xi, imaginary)), si = f64x2.sub(f64x2.mul(xi, real), f64x2.mul(xr, imaginary));
        const ar = f64x2.add(pr, qr), ai = f64x2.add(pi, qi), br = f64x2.sub(pr, qr), bi = f64x2.sub(pi, qi);
        const cr = f64x2.add(rr, sr), ci = f64x2.add(ri, si), dr = f64x2.sub(rr, sr), di = f64x2.sub(ri, si);
        v128.store(p, f64x2.add(ar, cr));
        v128.store(p, f64x2.add(ai, ci), 16);
        v128.store(q, f64x2.sub(br, di)); // b + i·d
        v128.store(q, f64x2.add(bi, dr), 16);
        v128.store(r, f64x2.sub(ar, cr));
        v128.store(r, f64x2.sub(ai, ci), 16);
        v128.store(s, f64x2.add(br, di)); // b − i·d
        v128.store(s, f64x2.sub(bi, dr), 16);
        turn += stride;
      }
    }
  }
}

/** Stores (real, imaginary) times the turn. */
@inline
function turned(to: usize, real: v128, imaginary: v128, turn: usize): void {
  const cos = v128.load_splat<u64>(turn), sin = v128.load_splat<u64>(turn, 8);
  v128.store(to, f64x2.sub(f64x2.mul(real, cos), f64x2.mul(imaginary, sin)));
  v128.store(to, f64x2.add(f64x2.mul(real, sin), f64x2.mul(imaginary, cos)), 16);
}

/** Sums and differences of neighbours: the transform of two numbers, forward and backward. */
function halve(work: usize, length: i32): void {
  for (let p = work; p < work + ((<usize>length) << 5); p += 64) {
    const pr = v128.load(p), pi = v128.load(p, 16), qr = v128.load(p, 32), qi = v128.load(p, 48);
    v128.store(p, f64x2.add(pr, qr));
    v128.store(p, f64x2.add(pi, qi), 16);
    v128.store(p, f64x2.sub(pr, qr), 32);
    v128.store(p, f64x2.sub(pi, qi), 48);
  }
}
