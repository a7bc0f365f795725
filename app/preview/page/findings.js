// What is wrong: faults of the file beside the last good boat, and findings as pins on the boat and a list.

import { el, button, byId, pressed } from "./dom.js";

/** Pixels that a pin takes. */
const PIN = 38;

export class Faults {
  constructor(store) {
    this.store = store;
    this.box = byId("faults");
    store.on("section:faults", (faults) => this.#show(faults));
  }

  #show(faults) {
    if (!faults.length) return this.box.replaceChildren();
    const lines = faults.slice(0, 12).map((fault) =>
      el(
        "li", {},
        el("p", { class: "wrong" }, `${fault.line ? `line ${fault.line}, ` : ""}${fault.key || fault.file}`),
        fault.text ? el("p", { class: "line-text" }, fault.text) : null,
        el("p", {}, `${fault.wrong}${fault.right ? `; ${fault.right}` : ""}`),
      ));
    const more = faults.length > 12 ? el("p", {}, `and ${faults.length - 12} more`) : null;
    return this.box.replaceChildren(
      el("div", {}, el("p", {}, el("strong", {}, this.store.pieces.size ? "This cannot be built. What you see is the last good boat." : "This cannot be built.")), el("ul", {}, ...lines), more));
  }
}

export class Findings {
  #pins = [];
  #chosen = -1;

  constructor(store, stage, tray) {
    Object.assign(this, { store, stage, tray });
    this.sheet = tray.add("findings", "Findings");
    this.holder = byId("pins");
    [this.head, this.list, this.foot] = [el("div"), el("div"), el("div")];
    this.sheet.append(this.head, this.list, this.foot);
    this.rows = [];
    for (const name of ["doing", "looked"]) store.on(`section:${name}`, () => this.#head());
    store.on("section:findings", (rows) => this.#show(rows));
    stage.addEventListener("drawn", () => this.#place());
  }

  #show(rows) {
    this.rows = rows;
    this.#chosen = -1;
    this.tray.count("findings", rows.length);
    this.#pins = rows.map((row, k) => ({
      at: this.#spot(row),
      made: button(String(k + 1), () => this.#go(k), { class: "pin", "aria-label": `finding ${k + 1}: ${row.what}` }),
    }));
    this.holder.replaceChildren(...this.#pins.filter((pin) => pin.at).map((pin) => pin.made));
    this.cards = rows.map((row, k) =>
      el(
        "article", { class: row.old ? "found old" : "found" },
        el("div", { class: "row" }, button(`${k + 1}  ${row.kind}`, () => this.#go(k)), el("span", {}, row.pieces.join(", "))),
        el("p", {}, row.what), el("p", {}, `To cure: ${row.cure}`),
        row.line ? el("p", { class: "soft" }, `line ${row.line}, ${row.key}`) : null,
        row.old ? el("p", { class: "soft" }, "of the boat before; being looked at again") : null,
      ));
    this.list.replaceChildren(...this.cards);
    this.#head();
    this.stage.redraw();
  }

  /** How many there are, what is still being looked at, and what was. */
  #head() {
    const { doing, looked } = this.store.sections;
    const lines = looked?.lines ?? [];
    this.head.replaceChildren(
      el("h2", {}, this.rows.length ? "Findings" : "No findings"),
      ...(doing ? [el("p", { role: "status" }, `${doing} …`)] : []),
      ...(looked?.wrong ?? []).map((line) => el("p", { class: "wrong" }, line)),
    );
    this.foot.replaceChildren(
      ...lines.map((line) => el("p", { class: "soft note" }, line)),
      el("p", { class: "note" }, "What is not found here is not approved by that."),
    );
  }

  /** All that a finding has to show. */
  #names(row) {
    return [...(row.shows ?? []), ...row.pieces].filter((name) => this.store.pieces.has(name));
  }

  /** Where a finding's pin stands: where it says, or at the middle of what it shows first. */
  #spot(row) {
    if (row.where) return row.where;
    const box = this.store.pieces.get(this.#names(row)[0])?.box;
    return box ? [0, 1, 2].map((k) => (box[k] + box[k + 3]) / 2) : null;
  }

  /** Goes there with both pieces lit and the rest of the boat faint enough to see them. */
  #go(k) {
    const row = this.rows[k];
    this.#chosen = k;
    this.store.look("hidden", row.pieces, false);
    this.store.pick([...row.pieces, ...(row.shows ?? [])], "findings");  // pieces first: the card is of one
    const at = this.#spot(row);
    const names = this.#names(row);
    if (at && names.length) this.stage.look(null, names.slice(0, 2), { at });
    this.#pins.forEach((pin, i) => pressed(pin.made, i === k));
    this.cards.forEach((card, i) => card.classList.toggle("picked", i === k));
    this.tray.show("findings");
    this.cards[k].scrollIntoView({ block: "nearest" });
  }

  /** Puts every pin over its place; where one would cover another they stand above each other. */
  #place() {
    const taken = [];
    for (const { at, made } of this.#pins) {
      const seen = at && this.stage.toScreen(at);
      made.hidden = !seen;
      if (!seen) continue;
      const spot = [seen[0], seen[1]];
      while (taken.some((other) => Math.abs(other[0] - spot[0]) < PIN && Math.abs(other[1] - spot[1]) < PIN)) spot[1] -= PIN;
      taken.push(spot);
      made.style.transform = `translate(${spot[0] - PIN / 2}px, ${spot[1] - PIN / 2}px)`;
    }
  }
}
