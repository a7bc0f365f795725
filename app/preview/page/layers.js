// The boat drawn in few strokes: all pieces of one look that move together are one mesh and one set of lines.

import * as THREE from "three";

const PICKED = "#e8590c";
const MOVED = "#0c7f8f";
const INK = "#14272e";
const CUT = "#5a2a16";
const FAINT = 0.13;

/** Faces lie a trace behind the lines on them, all by the same rule, or thin sheet would show its far side. */
const BEHIND = { polygonOffset: true, polygonOffsetFactor: 0.12, polygonOffsetUnits: 2 };

export class Layers {
  #drawn = new Map();
  #bodies = new Map();

  /** @param scene what to draw into; `planes` cut away what lies before them. */
  constructor(store, scene, planes) {
    this.store = store;
    this.scene = scene;
    this.planes = planes;
    this.moved = new Set();
    this.bodyOf = () => "";
    this.cutting = false;
  }

  /** The group of everything that moves as one with a lid; "" is what stands still. */
  body(key) {
    if (!this.#bodies.has(key)) {
      const group = new THREE.Group();
      group.matrixAutoUpdate = false;
      this.scene.add(group);
      this.#bodies.set(key, group);
    }
    return this.#bodies.get(key);
  }

  /** Brings what is drawn up to date; only layers with a changed piece are made again. */
  refresh() {
    const wanted = new Map();
    for (const piece of this.store.pieces.values()) {
      if (!this.store.isShown(piece.name)) continue;
      const look = this.#lookOf(piece);
      const key = `${this.bodyOf(piece.name)}|${look.colour}|${look.opacity}`;
      if (!wanted.has(key)) wanted.set(key, { look, body: this.bodyOf(piece.name), pieces: [] });
      wanted.get(key).pieces.push(piece);
    }
    for (const [key, layer] of this.#drawn)
      if (!wanted.has(key)) {
        layer.drop();
        this.#drawn.delete(key);
      }
    for (const [key, { look, body, pieces }] of wanted) {
      const state = pieces.map((piece) => `${piece.name}:${piece.version}`).join() + this.cutting;
      const old = this.#drawn.get(key);
      if (old?.state === state) continue;
      old?.drop();
      this.#drawn.set(key, this.#draw(this.body(body), look, pieces, state));
    }
  }

  #lookOf(piece) {
    const faded = this.store.faded.has(piece.name);
    if (piece.name.startsWith("found/")) return { colour: piece.colour, opacity: 0.6 };
    if (this.store.picked.has(piece.name)) return { colour: PICKED, opacity: faded ? 0.5 : 1 };
    const colour = this.store.tints.get(piece.name) ?? (this.moved.has(piece.name) ? MOVED : piece.colour);
    return { colour, opacity: faded ? Math.min(FAINT, piece.opacity) : piece.opacity };
  }

  #draw(group, look, pieces, state) {
    const solid = look.opacity === 1;
    const surface = surfaceOf(pieces);
    const face = new THREE.MeshLambertMaterial({
      color: look.colour,
      flatShading: true,
      side: solid && !this.cutting ? THREE.FrontSide : THREE.DoubleSide,
      transparent: !solid,
      opacity: look.opacity,
      depthWrite: solid,
      forceSinglePass: true,
      clippingPlanes: this.planes,
      ...BEHIND,
    });
    const made = [new THREE.Mesh(surface, face)];
    if (solid && this.cutting) {
      // Metal is closed: where a plane opens it, its inside is seen, and painted as the cut itself.
      face.side = THREE.FrontSide;
      made.push(
        new THREE.Mesh(
          surface,
          new THREE.MeshBasicMaterial({ ...BEHIND, color: CUT, side: THREE.BackSide, clippingPlanes: this.planes }),
        ),
      );
    }
    if (pieces.some((piece) => piece.name !== "hull"))
      made.push(this.#lines(pieces, solid ? 0.9 : 0.28));
    if (look.colour === PICKED) made.push(this.#through(surface));
    for (const part of made) {
      part.renderOrder = part.material.depthTest ? (solid ? 0 : 1) : 2;
      group.add(part);
    }
    return { state, drop: () => drop(group, made) };
  }

  /** What is picked shows through whatever hides it. */
  #through(surface) {
    return new THREE.Mesh(
      surface,
      new THREE.MeshBasicMaterial({
        color: PICKED, transparent: true, opacity: 0.35, depthTest: false, depthWrite: false, clippingPlanes: this.planes,
      }),
    );
  }

  #lines(pieces, opacity) {
    const parts = pieces.filter((piece) => piece.name !== "hull").map((piece) => this.store.edgesOf(piece));
    const ink = new THREE.LineBasicMaterial({
      color: INK,
      transparent: opacity < 1,
      opacity,
      clippingPlanes: this.planes,
    });
    return new THREE.LineSegments(points(joined(parts)), ink);
  }
}

function drop(group, made) {
  for (const part of made) {
    group.remove(part);
    part.geometry.dispose();
    part.material.dispose();
  }
}

function surfaceOf(pieces) {
  const surface = points(joined(pieces.map((piece) => piece.vertices)));
  const faces = new Uint32Array(pieces.reduce((sum, piece) => sum + piece.faces.length, 0));
  let [at, start] = [0, 0];
  for (const piece of pieces) {
    for (let i = 0; i < piece.faces.length; i++) faces[at++] = piece.faces[i] + start;
    start += piece.vertices.length / 3;
  }
  surface.setIndex(new THREE.BufferAttribute(faces, 1));
  return surface;
}

function joined(parts) {
  const whole = new Float32Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

export function points(numbers) {
  const made = new THREE.BufferGeometry();
  made.setAttribute("position", new THREE.BufferAttribute(numbers, 3));
  return made;
}
