// A tape between two things taken hold of: corners, edges or faces.

import * as THREE from "three";
import { el, byId } from "./dom.js";
import { lengthText } from "./lengths.js";
import { points } from "./layers.js";

export class Measure {
  #ends = [];
  #tape = null;

  constructor(store, stage, aim) {
    Object.assign(this, { store, stage, aim });
    this.on = false;
    this.holder = byId("ends");
    stage.addEventListener("drawn", () => this.#place());
  }

  start(yes) {
    this.on = yes;
    if (!yes) this.#clear();
    this.stage.canvas.style.cursor = yes ? "crosshair" : "";
  }

  /** Takes hold at a spot; a third one begins anew. In words what is held or measured. */
  take(x, y) {
    const found = this.aim.snap(x, y);
    if (!found) return null;
    if (this.#ends.length === 2) this.#clear();
    this.#ends.push(found);
    this.holder.append(el("div", { class: "dot" }));
    if (this.#ends.length === 2) this.#stretch();
    this.stage.redraw();
    return this.words();
  }

  words() {
    const [a, b] = this.#ends;
    if (!a) return "Tap a corner, an edge or a face.";
    if (!b) return `From a ${a.kind} of ${a.name}. Tap where to.`;
    const units = this.store.sections.boat.units;
    const way = b.point.clone().sub(a.point);
    const parts = [["along", way.x], ["athwart", way.y], ["up", way.z]].map(
      ([what, mm]) => `${what} ${lengthText(Math.abs(mm), units)}`);
    const told = [`${lengthText(way.length(), units)} (${way.length().toFixed(1)} mm)`, ...parts];
    if (a.kind === b.kind && a.way) {
      const turn = THREE.MathUtils.radToDeg(Math.acos(Math.min(1, Math.abs(a.way.dot(b.way)))));
      if (turn > 0.05) told.push(`${turn.toFixed(2)} degrees between the ${a.kind}s`);
      else told.push(`square across ${lengthText(this.#across(a, b, way), units)}`);
    }
    return told.join("; ");
  }

  /** Distance square to two parallel faces, or between two parallel edges. */
  #across(a, b, way) {
    const along = way.dot(a.way);
    return a.kind === "face" ? Math.abs(along) : Math.sqrt(Math.max(0, way.lengthSq() - along * along));
  }

  #stretch() {
    const ends = new Float32Array(this.#ends.flatMap((end) => end.point.toArray()));
    const ink = new THREE.LineBasicMaterial({ color: "#9c3a06", depthTest: false });
    this.#tape = new THREE.LineSegments(points(ends), ink);
    this.#tape.renderOrder = 5;
    this.stage.scene.add(this.#tape);
    const [a, b] = this.#ends;
    this.holder.append(el("div", { class: "end" }, lengthText(a.point.distanceTo(b.point), this.store.sections.boat.units)));
  }

  #clear() {
    if (this.#tape) {
      this.stage.scene.remove(this.#tape);
      this.#tape.geometry.dispose();
      this.#tape.material.dispose();
    }
    this.#tape = null;
    this.#ends = [];
    this.holder.replaceChildren();
    this.stage.redraw();
  }

  #place() {
    const at = this.#ends.map((end) => end.point);
    if (at.length === 2) at.push(at[0].clone().add(at[1]).multiplyScalar(0.5));
    at.forEach((point, k) => {
      const made = this.holder.children[k];
      const seen = this.stage.toScreen(point.toArray());
      made.hidden = !seen;
      if (seen) made.style.transform = `translate(${seen[0]}px, ${seen[1]}px)`;
    });
  }
}
