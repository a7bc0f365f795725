// The edges of a mesh along which its surface turns: what is drawn in ink.

const TURN = Math.cos((25 * Math.PI) / 180);

/** Ends of every sharp edge, six numbers an edge, from vertices and triangles that share them. */
export function sharpEdges(points, faces) {
  const normals = new Float32Array(faces.length);
  for (let f = 0; f < faces.length; f += 3) normalOf(points, faces, f, normals);
  const first = new Map();
  const count = points.length / 3;
  const found = [];
  for (let f = 0; f < faces.length; f += 3)
    for (let side = 0; side < 3; side++) {
      const a = faces[f + side];
      const b = faces[f + ((side + 1) % 3)];
      const key = a < b ? a * count + b : b * count + a;
      const other = first.get(key);
      if (other === undefined) {
        first.set(key, f);
        continue;
      }
      first.delete(key);
      const turn = normals[f] * normals[other] + normals[f + 1] * normals[other + 1] + normals[f + 2] * normals[other + 2];
      if (turn < TURN) pushEdge(found, points, a, b);
    }
  // What is left has one face only: an open edge.
  for (const key of first.keys()) pushEdge(found, points, Math.floor(key / count), key % count);
  return new Float32Array(found);
}

function pushEdge(found, points, a, b) {
  for (const i of [a, b]) found.push(points[3 * i], points[3 * i + 1], points[3 * i + 2]);
}

function normalOf(points, faces, f, normals) {
  const [a, b, c] = [3 * faces[f], 3 * faces[f + 1], 3 * faces[f + 2]];
  const ux = points[b] - points[a], uy = points[b + 1] - points[a + 1], uz = points[b + 2] - points[a + 2];
  const vx = points[c] - points[a], vy = points[c + 1] - points[a + 1], vz = points[c + 2] - points[a + 2];
  const x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx;
  const size = Math.hypot(x, y, z) || 1;
  normals[f] = x / size;
  normals[f + 1] = y / size;
  normals[f + 2] = z / size;
}
