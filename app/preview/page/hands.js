// Fingers, mouse and keys on the view: a tap picks, a second tap on a lid opens it, keys turn and zoom.

import { STANDS } from "./stage.js";

const STILL = 6;

export class Hands {
  #down = null;

  constructor(store, stage, { aim, measure, lids }) {
    Object.assign(this, { store, stage, aim, measure, lids });
    const canvas = stage.canvas;
    canvas.addEventListener("pointerdown", (event) => {
      this.#down = event.isPrimary ? [event.clientX, event.clientY] : null;
    });
    canvas.addEventListener("pointerup", (event) => this.#up(event));
    canvas.addEventListener("dblclick", (event) => this.#twice(event));
    canvas.addEventListener("keydown", (event) => this.#key(event));
    document.addEventListener("keydown", (event) => {
      if (event.key === "Escape") store.pick([], "keys");
    });
  }

  #up(event) {
    const down = this.#down;
    this.#down = null;
    if (!down || Math.hypot(event.clientX - down[0], event.clientY - down[1]) > STILL || event.button) return;
    if (this.measure.on) {
      const said = this.measure.take(event.clientX, event.clientY);
      if (said) this.store.tell("measured", said);
      return;
    }
    const hit = this.aim.at(event.clientX, event.clientY);
    // The hull lies before everything: a tap on bare hull lets go of what was picked.
    this.store.pick(hit && !hit.ghost ? [hit.piece.name] : [], "view");
  }

  #twice(event) {
    if (this.measure.on) return;
    const hit = this.aim.at(event.clientX, event.clientY);
    const lid = hit && this.lids.of(hit.piece.name);
    if (lid) this.lids.swing(lid.name, this.lids.share(lid.name) > 0.5 ? 0 : 1);
  }

  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = event.shiftKey ? 0.03 : 0.15;
    const does = {
      ArrowLeft: () => this.stage.turn(-step, 0),
      ArrowRight: () => this.stage.turn(step, 0),
      ArrowUp: () => this.stage.turn(0, -step),
      ArrowDown: () => this.stage.turn(0, step),
      "+": () => this.stage.zoom(1.15),
      "=": () => this.stage.zoom(1.15),
      "-": () => this.stage.zoom(1 / 1.15),
      f: () => this.stage.look(null, this.store.picked.size ? [...this.store.picked] : null),
    }[event.key];
    const stand = STANDS[Number(event.key) - 1];
    if (does) does();
    else if (stand) this.stage.look(stand[1], null);
    else return;
    event.preventDefault();
  }
}
