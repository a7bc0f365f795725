// Two versions held against each other: what came, what went and what changed, in the view and in lists.

import { el, button } from "./dom.js";
import { sumsTable, changesTable } from "./tables.js";

const CAME = "#1e7d32";
const CHANGED = "#0c7f8f";

export class Compare {
  constructor(store, link, tray) {
    Object.assign(this, { store, link });
    this.sheet = tray.add("compare", "Compare");
    store.on("section:versions", () => this.#show());
    store.on("section:compare", (told) => {
      const tints = new Map((told?.came ?? []).map((name) => [name, CAME]));
      for (const name of told?.changed ?? []) tints.set(name, CHANGED);
      store.tints = tints;
      store.tell("looks");
      this.#show();
    });
    this.#show();
  }

  #show() {
    const told = this.store.sections.compare;
    const labels = this.store.sections.versions ?? [];
    const choices = labels.map((label) =>
      button(label, () => this.link.ask({ do: "compare", with: label === told?.with ? null : label }), {
        "aria-pressed": label === told?.with ? "true" : "false",
      }));
    this.sheet.replaceChildren(
      el("h2", {}, "Held against"),
      el("div", { class: "row" }, ...choices),
      el("p", { class: "note" }, button("Take a snapshot", () => this.link.ask({ do: "hold" }))),
      ...(told ? this.#told(told) : [el("p", { class: "soft note" }, "Choose a version to see what differs from it.")]),
    );
  }

  #told({ came, went, changed, change }) {
    const pick = (names) => this.store.pick(names, "compare");
    const line = (words, names, kind) =>
      el("li", {}, el("span", { class: `swatch ${kind}` }), button(`${names.length} ${words}`, () => pick(names), { class: "plain" }));
    return [
      el("ul", { class: "note" },
        line("came", came, "came"), line("changed", changed, "changed"),
        line("went", went.map((name) => `was/${name}`), "went")),
      el("h2", {}, "Sums"), sumsTable(change), el("h2", {}, "Mark by mark"), el("div", { class: "scroll" }, changesTable(change, pick)),
    ];
  }
}
