/** The edge between two corners of the cube that differ in one axis; numbers as below. */
function edgeBetween(a: number, b: number): number {
  const axis = Math.log2(a ^ b);
  const low = a & b;
  const next = (axis + 1) % 3, after = (axis + 2) % 3;
  return 4 * axis + ((low >> next) & 1) + 2 * ((low >> after) & 1);
}

/** Corners of each face of the cube, counter-clockwise seen from outside the cube. */
const faces: readonly number[][] = [0, 1, 2].flatMap((axis) => [0, 1].map((side) => {
  const [b, c] = [1 << ((axis + 1) % 3), 1 << ((axis + 2) % 3)];
  const corners = [0, b, b | c, c].map((corner) => corner | (side << axis));
  return side === 1 ? corners : corners.reverse();
}));

const edgesOfFace = faces.map((corners) => corners.map((corner, i) => edgeBetween(corner, corners[(i + 1) % 4])));
const shareFace = (a: number, b: number) => edgesOfFace.some((edges) => edges.includes(a) && edges.includes(b));

/**
 * How a surface passes through a cube, for each of the 256 ways in which its corners lie inside or outside.
 * Corner c is at (c & 1, c >> 1 & 1, c >> 2 & 1). Edge 4·axis + n runs along that axis, n = its place across the two next axes, first
 * axis first. A case is the sum of 2^c over the corners inside; cubeCases[case] lists triangles, three edges each, counter-clockwise
 * seen from outside.
 *
 * Made, not typed: on each face of the cube the surface's line goes from the edge where a walk round the face comes to the inside to
 * the edge where it leaves it again. That is settled by the four corners of the face alone (where two opposite ones are inside, they are kept
 * apart), so the cube beyond the face draws the same line the other way; and every crossed edge is the end of one line and the start of
 * another, so the lines join into loops. Loops are then cut into triangles by lines between edges that share no face, which therefore run
 * within the cube. So each line of the mesh lies in exactly two triangles, in opposite directions: the mesh is closed whatever the values.
 * The idea is that of W. Lorensen and H. Cline, Computer Graphics 21 (1987) 163; the faces' rule is common practice, no source.
 */
export const cubeCases: readonly Uint8Array[] = Array.from({ length: 256 }, (_, inside) => Uint8Array.from(loops(inside).flatMap(cutIntoTriangles)));

/** Closed chains of crossed edges. */
function loops(inside: number): number[][] {
  const isIn = (corner: number) => (inside >> corner) & 1;
  const next = new Map<number, number>();
  for (const corners of faces) {
    for (let i = 0; i < 4; i++) {
      if (!(isIn(corners[i]) && !isIn(corners[(i + 1) % 4]))) continue;
      let first = i; // the walk leaves the inside after corner i; it came in before corner `first`
      while (isIn(corners[(first + 3) % 4])) first = (first + 3) % 4;
      next.set(edgeBetween(corners[(first + 3) % 4], corners[first]), edgeBetween(corners[i], corners[(i + 1) % 4]));
    }
  }
  const found: number[][] = [];
  while (next.size > 0) {
    const loop: number[] = [];
    for (let edge = next.keys().next().value!; next.has(edge); ) {
      loop.push(edge);
      const following = next.get(edge)!;
      next.delete(edge);
      edge = following;
    }
    found.push(loop);
  }
  return found;
}

/** A loop of edges as triangles whose inner lines join edges that share no face. */
function cutIntoTriangles(loop: number[]): number[] {
  const triangles = tryToCut(loop);
  if (!triangles) throw new Error(`No way was found to cut the loop ${loop.join(', ')} into triangles.`); // does not happen: all 256 are made when this file is read
  return triangles;
}

function tryToCut(loop: number[]): number[] | undefined {
  if (loop.length === 3) return loop;
  // The line from the first vertex to the last is the base of one triangle; its tip divides the rest in two.
  const [first, last] = [loop[0], loop[loop.length - 1]];
  for (let tip = 1; tip < loop.length - 1; tip++) {
    if (tip > 1 && shareFace(first, loop[tip])) continue;
    if (tip < loop.length - 2 && shareFace(loop[tip], last)) continue;
    const before = tip > 1 ? tryToCut(loop.slice(0, tip + 1)) : [];
    const after = tip < loop.length - 2 ? tryToCut(loop.slice(tip)) : [];
    if (before && after) return [first, loop[tip], last, ...before, ...after];
  }
  return undefined;
}
