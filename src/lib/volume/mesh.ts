/** A surface of triangles. */
export interface Mesh {
  /** x, y, z of one vertex after the other, mm. */
  readonly positions: Float32Array;
  /** Three vertices a triangle, by number, counter-clockwise seen from outside. */
  readonly triangles: Uint32Array;
}

/** One mesh of several, in their order; vertices are not merged. */
export function joinMeshes(meshes: readonly Mesh[]): Mesh {
  const positions = new Float32Array(meshes.reduce((sum, mesh) => sum + mesh.positions.length, 0));
  const triangles = new Uint32Array(meshes.reduce((sum, mesh) => sum + mesh.triangles.length, 0));
  let vertex = 0, corner = 0;
  for (const mesh of meshes) {
    positions.set(mesh.positions, 3 * vertex);
    for (let i = 0; i < mesh.triangles.length; i++) triangles[corner + i] = mesh.triangles[i] + vertex;
    vertex += mesh.positions.length / 3;
    corner += mesh.triangles.length;
  }
  return { positions, triangles };
}
