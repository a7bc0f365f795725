// What lies under a spot of the view: the piece, the point, and the corner, edge or face nearest to it.

import * as THREE from "three";

const CORNER_NEAR = 14;
const EDGE_NEAR = 9;

export class Aim {
  constructor(store, stage) {
    this.store = store;
    this.stage = stage;
  }

  /** The first piece a ray meets that is not faded or cut away; a faded one only where there is no other. */
  at(x, y) {
    const ray = this.stage.ray(x, y);
    let best = null;
    for (const piece of this.store.pieces.values()) {
      if (!this.store.isShown(piece.name)) continue;
      const group = this.stage.layers.body(this.stage.layers.bodyOf(piece.name));
      const back = group.matrix.clone().invert();
      const local = ray.clone().applyMatrix4(back);
      if (!local.intersectsBox(boxOf(piece))) continue;
      const hit = this.#through(piece, local, group.matrix);
      if (!hit) continue;
      hit.ghost = piece.opacity < 1 || this.store.faded.has(piece.name);
      hit.far = hit.point.distanceTo(ray.origin);
      if (!best || (best.ghost && !hit.ghost) || (best.ghost === hit.ghost && hit.far < best.far)) best = hit;
    }
    return best;
  }

  #through(piece, ray, matrix) {
    const { vertices, faces } = piece;
    const [a, b, c, met] = [new THREE.Vector3(), new THREE.Vector3(), new THREE.Vector3(), new THREE.Vector3()];
    let best = null;
    for (let f = 0; f < faces.length; f += 3) {
      a.fromArray(vertices, 3 * faces[f]);
      b.fromArray(vertices, 3 * faces[f + 1]);
      c.fromArray(vertices, 3 * faces[f + 2]);
      if (!ray.intersectTriangle(a, b, c, false, met)) continue;
      const far = met.distanceTo(ray.origin);
      if (best && far >= best.near) continue;
      const point = met.clone().applyMatrix4(matrix);
      if (this.stage.planes.some((plane) => plane.distanceToPoint(point) < 0)) continue;
      const normal = new THREE.Triangle(a, b, c).getNormal(new THREE.Vector3()).transformDirection(matrix);
      best = { piece, point, normal, near: far, matrix };
    }
    return best;
  }

  /** What is taken hold of at a spot: a corner, a point of an edge, or a point of a face. */
  snap(x, y) {
    const hit = this.at(x, y);
    if (!hit) return null;
    const box = this.stage.canvas.getBoundingClientRect();
    const spot = [x - box.left, y - box.top];
    const away = (point) => {
      const seen = this.stage.toScreen(point.toArray());
      return seen ? Math.hypot(seen[0] - spot[0], seen[1] - spot[1]) : Infinity;
    };
    const edges = this.store.edgesOf(hit.piece);
    let [corner, edge] = [null, null];
    const line = new THREE.Line3();
    for (let i = 0; i < edges.length; i += 6) {
      line.start.fromArray(edges, i).applyMatrix4(hit.matrix);
      line.end.fromArray(edges, i + 3).applyMatrix4(hit.matrix);
      for (const end of [line.start, line.end]) {
        const far = away(end);
        if (far < CORNER_NEAR && (!corner || far < corner.far)) corner = { kind: "corner", point: end.clone(), far };
      }
      const near = line.closestPointToPoint(hit.point, true, new THREE.Vector3());
      const far = away(near);
      if (far < EDGE_NEAR && (!edge || far < edge.far))
        edge = { kind: "edge", point: near, far, way: line.delta(new THREE.Vector3()).normalize() };
    }
    const found = corner ?? edge ?? { kind: "face", point: hit.point, way: hit.normal };
    return { ...found, name: hit.piece.name };
  }
}

function boxOf(piece) {
  const [a, b, c, d, e, f] = piece.box;
  return new THREE.Box3(new THREE.Vector3(a, b, c), new THREE.Vector3(d, e, f));
}
