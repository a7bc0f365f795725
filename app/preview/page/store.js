// What the page knows of the boat, and what is picked, hidden or faded; all else listens to this.

import { sharpEdges } from "./edges.js";

export class Store extends EventTarget {
  pieces = new Map();
  sections = {};
  picked = new Set();
  hidden = new Set();
  faded = new Set();
  tints = new Map();
  version = 0;

  tell(kind, detail) {
    this.dispatchEvent(new CustomEvent(kind, { detail }));
  }

  on(kind, hears) {
    this.addEventListener(kind, (event) => hears(event.detail));
  }

  /** Takes in a block as app/preview/wire.py packs it; `whole` when it brings everything there is. */
  take(buffer, whole) {
    const length = new DataView(buffer).getUint32(0, true);
    const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length)));
    let at = 4 + length;
    const gone = new Set(head.gone);
    if (whole) {
      const there = new Set(head.pieces.map((row) => row.name));
      for (const name of this.pieces.keys()) if (!there.has(name)) gone.add(name);
    }
    for (const name of gone) this.pieces.delete(name);
    for (const row of head.pieces) at = this.#put(row, buffer, at);
    if (gone.size) this.picked = new Set([...this.picked].filter((name) => this.pieces.has(name)));
    Object.assign(this.sections, head.sections);
    if (head.pieces.length || gone.size) this.tell("pieces", { whole, rows: head.pieces, gone });
    for (const name of Object.keys(head.sections)) this.tell(`section:${name}`, head.sections[name]);
  }

  #put(row, buffer, at) {
    const known = this.pieces.get(row.name);
    const piece = { ...row, vertices: known?.vertices, faces: known?.faces, edges: known?.edges, box: known?.box };
    piece.version = known ? known.version : 0;
    if (row.counts) {
      const [points, faces] = row.counts;
      piece.vertices = new Float32Array(buffer, at, points * 3);
      piece.faces = new Uint32Array(buffer, at + points * 12, faces * 3);
      piece.edges = null;
      piece.box = boxOf(piece.vertices);
      piece.version = ++this.version;
      at += points * 12 + faces * 12;
    }
    this.pieces.set(row.name, piece);
    return at;
  }

  edgesOf(piece) {
    piece.edges ??= sharpEdges(piece.vertices, piece.faces);
    return piece.edges;
  }

  pick(names, from) {
    this.picked = new Set(names.filter((name) => this.pieces.has(name)));
    this.tell("picked", { from });
  }

  /** Shows or hides, fades or brings back; `names` are pieces. */
  look(which, names, yes) {
    for (const name of names) yes ? this[which].add(name) : this[which].delete(name);
    this.tell("looks");
  }

  /** Whether a piece is to be seen; what only a finding shows is seen while it is followed. */
  isShown(name) {
    if (name.startsWith("found/")) return this.picked.has(name);
    return !this.hidden.has(name);
  }

  namesOfMark(mark) {
    return [...this.pieces.values()].filter((piece) => piece.mark === mark).map((piece) => piece.name);
  }
}

export function boxOf(points) {
  const box = [Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity];
  for (let i = 0; i < points.length; i += 3)
    for (let k = 0; k < 3; k++) {
      const value = points[i + k];
      if (value < box[k]) box[k] = value;
      if (value > box[k + 3]) box[k + 3] = value;
    }
  return box;
}
