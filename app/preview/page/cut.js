// Planes that cut the view open: one to slide along any axis, and one on the centreline that leaves the port half.

import * as THREE from "three";
import { el, button, pressed } from "./dom.js";
import { lengthText } from "./lengths.js";

const AXES = [["along", "x"], ["athwart", "y"], ["up", "z"]];

export class Cut {
  #share = { x: 0.5, y: 0.5, z: 0.6 };
  #axis = "x";
  #side = 1;
  #on = false;
  #half = false;

  constructor(store, stage, handles) {
    Object.assign(this, { store, stage });
    this.slider = el("input", {
      type: "range", min: 0, max: 1, step: 0.002, "aria-label": "where the cut is",
      oninput: () => {
        this.#share[this.#axis] = Number(this.slider.value);
        this.#put();
      },
    });
    this.said = el("p", { class: "soft" });
    this.ways = AXES.map(([words, axis]) => button(words, () => this.#choose(axis)));
    const turn = button("other side", () => {
      this.#side = -this.#side;
      this.#put();
    });
    this.panel = el("div", { hidden: true }, el("div", { class: "row" }, el("strong", {}, "Cut"), ...this.ways, turn), this.slider, this.said);
    handles.append(this.panel);
    store.on("pieces", () => this.#on && this.#put());
  }

  get on() {
    return this.#on;
  }

  set on(yes) {
    this.#on = yes;
    this.panel.hidden = !yes;
    this.#choose(this.#axis);
  }

  get half() {
    return this.#half;
  }

  set half(yes) {
    this.#half = yes;
    this.#put();
  }

  /** Takes an axis; what lies on the eye's side of the plane is cut away. */
  #choose(axis) {
    this.#axis = axis;
    this.#side = this.stage.camera.position[axis] > this.stage.controls.target[axis] ? -1 : 1;
    this.slider.value = this.#share[axis];
    AXES.forEach(([, own], k) => pressed(this.ways[k], own === axis));
    this.#put();
  }

  #put() {
    const planes = [];
    if (this.#half) planes.push(new THREE.Plane(new THREE.Vector3(0, 1, 0), 0));
    if (this.#on) {
      const box = this.stage.boxOf();
      const at = box.min[this.#axis] + (box.max[this.#axis] - box.min[this.#axis]) * this.#share[this.#axis];
      const normal = new THREE.Vector3();
      normal[this.#axis] = this.#side;
      planes.push(new THREE.Plane(normal, -this.#side * at));
      const from = { x: "from the transom", y: at < 0 ? "to starboard" : "to port", z: "above the baseline" }[this.#axis];
      this.said.textContent = `${lengthText(Math.abs(at), this.store.sections.boat?.units ?? "mm")} ${from}`;
    }
    // The planes are shared by every material: the list is kept and its contents change.
    this.stage.planes.splice(0, Infinity, ...planes);
    const cutting = planes.length > 0;
    const changed = cutting !== this.stage.layers.cutting;
    this.stage.layers.cutting = cutting;
    changed ? this.stage.refresh() : this.stage.redraw();
  }
}
