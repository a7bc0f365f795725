// Lids turn about their own hinges, or lift straight out; what stands on a lid goes along.

import * as THREE from "three";

export class Lids {
  #rows = new Map();
  #bodyOf = new Map();
  #open = new Map();

  constructor(store, stage) {
    this.store = store;
    this.stage = stage;
    stage.layers.bodyOf = (name) => this.#bodyOf.get(name) ?? "";
    store.on("section:lids", (rows) => this.#take(rows));
  }

  #take(rows) {
    const before = [...this.#bodyOf].join();
    this.#rows = new Map(rows.map((row) => [row.name, row]));
    this.#bodyOf = new Map(rows.flatMap((row) => row.carries.map((name) => [name, row.name])));
    for (const row of rows) this.#place(row);
    if (before !== [...this.#bodyOf].join()) this.stage.refresh();
    this.stage.redraw();
  }

  get names() {
    return [...this.#rows.keys()];
  }

  /** The lid a piece is, or rides on. */
  of(name) {
    return this.#rows.get(this.#bodyOf.get(name));
  }

  /** How far a lid is open, from 0 to 1. */
  share(name) {
    return this.#open.get(name) ?? 0;
  }

  set(name, share) {
    this.#open.set(name, share);
    const row = this.#rows.get(name);
    if (row) this.#place(row);
    this.store.tell("lid", name);
    this.stage.redraw();
  }

  /** Opens or closes a lid at the pace of a hand. */
  swing(name, share) {
    const from = this.share(name);
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) return this.set(name, share);
    const start = performance.now();
    const step = (now) => {
      const part = Math.min(1, Math.max(0, (now - start) / 450));
      this.set(name, from + (share - from) * part * part * (3 - 2 * part));
      if (part < 1) requestAnimationFrame(step);
    };
    return requestAnimationFrame(step);
  }

  swingAll(share) {
    for (const name of this.names) this.swing(name, share);
  }

  #place(row) {
    const group = this.stage.layers.body(row.name);
    const at = this.share(row.name) * row.limit;
    if (row.way) {
      group.matrix.makeTranslation(new THREE.Vector3(...row.way).multiplyScalar(at));
    } else if (row.point) {
      const point = new THREE.Vector3(...row.point);
      const turn = new THREE.Matrix4().makeRotationAxis(new THREE.Vector3(...row.axis), (at * Math.PI) / 180);
      const back = new THREE.Matrix4().makeTranslation(point.clone().negate());
      group.matrix.makeTranslation(point).multiply(turn).multiply(back);
    } else group.matrix.identity();
    group.matrixWorldNeedsUpdate = true;
  }

  /** In words: how a lid opens now. */
  words(row) {
    const at = this.share(row.name) * row.limit;
    if (row.way) return "lifts out";
    if (!row.point) return "has no edge to hinge on";
    return `hinged ${row.hinge}, open ${at.toFixed(0)} of ${row.limit.toFixed(0)} degrees`;
  }
}
