/** The line about which a picture is its own mirror image. */
export interface MirrorLine {
  /** Where it crosses row `level`, in columns from column 0, with fraction. */
  readonly column: number;
  /** Its lean from the columns, radians, + towards higher columns going to higher rows. */
  readonly lean: number;
  /** What is left of the picture less its mirror image, as a share of the picture (root of squares); √2 would be no likeness. */
  readonly misfit: number;
}

interface Picture {
  readonly rows: number;
  readonly columns: number;
  readonly data: Float64Array;
}

/**
 * The mirror line of a picture, by least squares: least Σ (P(q) − P(mirror of q))² over column and lean, Gauss–Newton from the
 * best of all upright lines. Rows may be left out (use[row] = 0). One row gives the column alone.
 * level: the row, with fraction, in which `column` is given.   start: a line to begin from.
 * The picture is blurred first, by a Gaussian of 1.5 columns or more, so that interpolation between cells does not draw the line to
 * a cell's middle or edge. Beside the frame it counts as 0 in the search, and is left out in the refinement.
 */
export function mirrorLine(picture: Picture, use: ArrayLike<number>, level: number, start?: MirrorLine): MirrorLine {
  const sigma = Math.max(1.5, picture.columns / 200);
  const smooth = blurred(picture, sigma);
  const far = Math.ceil(2 * sigma);
  let line = start ?? { column: bestUpright(smooth, use), lean: 0, misfit: 1 };
  const rows = Array.from({ length: picture.rows }, (_, row) => row).filter((row) => use[row]);
  if (rows.length === 0) return line;
  const [lowest, highest] = [rows[0]!, rows.at(-1)!];
  const leans = highest - lowest > 8 * sigma;
  for (let turn = 0; turn < mostTurns; turn++) {
    // A leaning line mirrors a cell into another row: cells whose image could leave the usable rows are left out.
    const slack = picture.rows > 1 ? far + Math.abs(Math.sin(line.lean)) * picture.columns : 0;
    const inside = rows.filter((row) => picture.rows === 1 || !leans || (row >= lowest + slack && row <= highest - slack));
    const { step, leanStep, misfit } = improvement(smooth, inside.length > 0 ? inside : rows, level, line, leans);
    line = { column: line.column + step, lean: line.lean + leanStep, misfit };
    if (Math.abs(step) < 1e-4 && Math.abs(leanStep) < 1e-6) break;
  }
  return line;
}

const mostTurns = 20;

/** The column about which the sum of all rows, and each row, is most like its mirror image: every half column of the middle half is tried. */
function bestUpright({ rows, columns, data }: Picture, use: ArrayLike<number>): number {
  let [best, least] = [(columns - 1) / 2, Infinity];
  const every = Math.max(1, Math.floor(rows / 64)); // rows that lie close look alike
  for (let twice = Math.floor(columns / 2); twice <= 1.5 * columns; twice++) {
    let sum = 0;
    for (let row = 0; row < rows; row += every) {
      if (!use[row]) continue;
      for (let j = 0; j < columns; j++) {
        const other = twice - j;
        const mirrored = other >= 0 && other < columns ? data[row * columns + other]! : 0;
        sum += (data[row * columns + j]! - mirrored) ** 2 * (other >= 0 && other < columns ? 1 : 2);
      }
    }
    if (sum < least) [best, least] = [twice / 2, sum];
  }
  return best;
}

/** One step of Gauss–Newton: differences and their slopes in column and lean. */
function improvement(picture: Picture, rows: readonly number[], level: number, line: MirrorLine, leans: boolean) {
  const { columns, data } = picture;
  const [h, leanH] = [0.05, 0.001];
  const lines = [line, { ...line, column: line.column + h }, { ...line, column: line.column - h }, { ...line, lean: line.lean + leanH }, { ...line, lean: line.lean - leanH }];
  const mirrors = lines.map(({ column, lean }) => ({ column, cos: Math.cos(lean), sin: Math.sin(lean) }));
  const values = new Float64Array(5);
  let [cc, cl, ll, gc, gl, squares, energy] = [0, 0, 0, 0, 0, 0, 0];
  for (const row of rows) {
    for (let j = 0; j < columns; j++) {
      const value = data[row * columns + j]!;
      let seen = true;
      for (let k = 0; k < (leans ? 5 : 3); k++) {
        const { column, cos, sin } = mirrors[k]!;
        const away = (j - column) * cos - (row - level) * sin;
        const mirrored = sample(picture, j - 2 * away * cos, row + 2 * away * sin);
        if (Number.isNaN(mirrored)) seen = false;
        values[k] = value - mirrored;
      }
      if (!seen) continue;
      const slope = (values[1]! - values[2]!) / (2 * h);
      const leanSlope = leans ? (values[3]! - values[4]!) / (2 * leanH) : 0;
      cc += slope * slope;
      cl += slope * leanSlope;
      ll += leanSlope * leanSlope;
      gc += slope * values[0]!;
      gl += leanSlope * values[0]!;
      squares += values[0]! ** 2;
      energy += value * value;
    }
  }
  const misfit = energy > 0 ? Math.sqrt(squares / energy) : 1;
  if (!(cc > 0)) return { step: 0, leanStep: 0, misfit };
  const determinant = cc * ll - cl * cl;
  if (!leans || !(determinant > 1e-9 * cc * ll)) return { step: -gc / cc, leanStep: 0, misfit };
  return { step: -(ll * gc - cl * gl) / determinant, leanStep: -(cc * gl - cl * gc) / determinant, misfit };
}

/** Between the four cells round (column, row); NaN off the frame. */
function sample({ rows, columns, data }: Picture, column: number, row: number): number {
  if (!(column >= 0 && column <= columns - 1 && row >= 0 && row <= rows - 1)) return NaN;
  const j = Math.min(columns - 2, Math.floor(column));
  const right = column - j;
  const i = Math.min(Math.max(0, rows - 2), Math.floor(row));
  const up = row - i;
  const at = i * columns + j;
  const here = data[at]! + right * (data[at + 1]! - data[at]!);
  if (up === 0) return here;
  return here + up * (data[at + columns]! + right * (data[at + columns + 1]! - data[at + columns]!) - here);
}

/** Blurred by a Gaussian; at the rims over the cells that are there, so that nothing fades. */
function blurred({ rows, columns, data }: Picture, sigma: number): Picture {
  const along = blurLines(data, rows, columns, columns, 1, sigma);
  return { rows, columns, data: rows > 1 ? blurLines(along, columns, rows, 1, columns, sigma) : along };
}

function blurLines(data: Float64Array, lines: number, length: number, lineStep: number, step: number, sigma: number): Float64Array {
  const reach = Math.ceil(3.5 * sigma);
  const weights = Float64Array.from({ length: 2 * reach + 1 }, (_, k) => Math.exp(-0.5 * ((k - reach) / sigma) ** 2));
  const result = new Float64Array(data.length);
  for (let line = 0; line < lines; line++) {
    for (let i = 0; i < length; i++) {
      let [sum, total] = [0, 0];
      for (let k = Math.max(0, i - reach); k <= Math.min(length - 1, i + reach); k++) {
        const weight = weights[k - i + reach]!;
        sum += weight * data[line * lineStep + k * step]!;
        total += weight;
      }
      result[line * lineStep + i * step] = sum / total;
    }
  }
  return result;
}
