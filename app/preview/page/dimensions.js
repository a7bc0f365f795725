// Named dimensions: a slider and a field for each, what it was, and what is wrong with it.

import { el, button } from "./dom.js";

export class Dimensions {
  #rows = new Map();
  #held = null;
  #waiting = null;

  constructor(store, link, sheet) {
    this.store = store;
    this.link = link;
    this.list = el("div");
    sheet.append(el("h2", {}, "Dimensions"), this.list);
    store.on("section:dimensions", (rows) => this.#show(rows));
    store.on("section:faults", () => this.#mark());
  }

  #show(rows) {
    const names = rows.map((row) => row.name).join();
    if (names !== [...this.#rows.keys()].join()) {
      this.#rows = new Map(rows.map((row) => [row.name, this.#make(row)]));
      this.list.replaceChildren(...[...this.#rows.values()].map((made) => made.box));
    }
    for (const row of rows) this.#fill(this.#rows.get(row.name), row);
    this.#mark();
  }

  #make(row) {
    const id = `dimension-${row.name}`;
    const field = el("input", {
      type: "text", id, autocomplete: "off", spellcheck: "false", inputmode: "text", "aria-describedby": `${id}-said`,
      onchange: () => this.#ask({ do: "move", name: row.name, text: field.value }),
    });
    const slider = el("input", {
      type: "range", "aria-label": `${words(row.name)}, slide`,
      oninput: () => this.#drag(row.name, Number(slider.value)),
      onchange: () => this.#letGo(row.name, Number(slider.value)),
      onpointerdown: () => (this.#held = row.name),
      onpointerup: () => (this.#held = null),
    });
    const [low, high] = [el("span"), el("span")];
    const said = el("div", { id: `${id}-said` });
    const slide = el("div", {}, slider, el("div", { class: "ends", "aria-hidden": "true" }, low, high));
    const box = el(
      "div", { class: "dimension" },
      el("div", { class: "head" }, el("label", { for: id }, words(row.name)), field),
      slide, said,
    );
    return { box, field, slider, slide, low, high, said, row };
  }

  #fill(made, row) {
    made.row = row;
    const { field, slider } = made;
    if (document.activeElement !== field || field.value === made.given) field.value = row.text;
    made.given = field.value;
    made.slide.hidden = row.value === null;
    made.low.textContent = row.ends[0];
    made.high.textContent = row.ends[1];
    if (row.value !== null && this.#held !== row.name) {
      Object.assign(slider, { min: row.least, max: row.greatest, step: row.step });
      // An end between two marks is reached too: the step counts from the least.
      slider.value = row.value;
      slider.setAttribute("aria-valuetext", row.shown);
    }
    made.box.classList.toggle("moved", row.before !== null);
  }

  #mark() {
    const faults = this.store.sections.faults ?? [];
    for (const [name, made] of this.#rows) {
      const own = faults.filter((fault) => fault.key.split(".")[1] === name && /^(dimensions|angles)/.test(fault.key));
      made.box.classList.toggle("bad", own.length > 0);
      made.field.setAttribute("aria-invalid", own.length ? "true" : "false");
      made.said.replaceChildren(...this.#said(made.row, own));
    }
  }

  #said(row, faults) {
    const found = faults.map((fault) => el("p", { class: "wrong" }, `${fault.wrong}; ${fault.right}`));
    const told = [];
    if (row.shown && row.shown !== row.text && row.shown !== `${row.text}"`) told.push(row.shown);
    if (row.follows.length) told.push(`follows ${row.follows.map(words).join(", ")}`);
    if (row.note) told.push(row.note);
    if (row.before !== null)
      found.push(el("p", { class: "was" }, `was ${row.before} `, button("back", () => this.#back(row), { class: "small" })));
    if (told.length) found.push(el("p", { class: "soft" }, told.join("; ")));
    return found;
  }

  #back(row) {
    this.#ask({ do: "move", name: row.name, text: row.before });
  }

  /** While a slider moves, a value a picture is enough: the newest one goes. */
  #drag(name, to) {
    this.#held = name;
    const idle = this.#waiting === null;
    this.#waiting = { do: "move", name, to, rest: false };
    if (idle)
      requestAnimationFrame(() => {
        if (this.#waiting) this.link.ask(this.#waiting);
        this.#waiting = null;
      });
  }

  #letGo(name, to) {
    this.#waiting = null;
    this.#held = null;
    this.#ask({ do: "move", name, to });
  }

  #ask(what) {
    this.link.ask(what);
  }
}

export const words = (name) => name.replaceAll("_", " ");
