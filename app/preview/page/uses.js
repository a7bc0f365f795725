// The pieces coloured by use, demand over what is allowed, from pale to red; a legend says which is which.

import { el, button, pressed } from "./dom.js";

export class Uses {
  #on = false;

  constructor(store, tools, handles) {
    this.store = store;
    this.legend = el("p", { class: "row" });
    this.caution = el("p", { class: "soft" });
    this.panel = el("div", { hidden: true }, el("strong", {}, "Use of what carries"), this.legend, this.caution);
    handles.append(this.panel);
    // There is nothing to switch on before the strength of a boat has been worked out.
    this.switch = button("Use", () => this.#turn(!this.#on), { "aria-pressed": "false", disabled: true });
    tools.append(this.switch);
    store.on("section:uses", (told) => this.#hear(told));
  }

  #hear(told) {
    this.told = told;
    this.switch.disabled = false;
    this.caution.textContent = told.caution;
    this.legend.replaceChildren(...told.legend.map(([words, colour]) => el("span", { class: "key" }, swatch(colour), words)));
    if (this.#on) this.#turn(true);
  }

  #turn(yes) {
    this.#on = yes;
    pressed(this.switch, yes);
    this.panel.hidden = !yes;
    this.store.tints = new Map(yes ? Object.entries(this.told.colours) : []);
    this.store.tell("looks");
  }
}

function swatch(colour) {
  const made = el("span", { class: "swatch" });
  made.style.background = colour;
  return made;
}
