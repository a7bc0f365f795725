// Tables whose rows are pieces: picked here, they are picked everywhere; what the last change moved is marked.

import { el, button } from "./dom.js";

/** Lengths and numbers, which are not to break. */
const LENGTH = /^[\d' ./"x-]+( mm| kg| lb)?$/;

export class PieceTable {
  constructor(store, tray, id, words, title) {
    this.store = store;
    this.sheet = tray.add(id, words);
    this.id = id;
    this.title = title;
    this.box = el("div", {}, el("h2", {}, title), el("p", { class: "soft" }, "Not worked out yet."));
    this.sheet.append(this.box);
    store.on(`section:${id}`, (table) => this.#show(table));
    store.on("section:change", () => this.#mark());
    store.on("picked", ({ from }) => this.#pick(from));
  }

  #show(table) {
    this.table = table;
    this.rows = new Map();
    const shape = (k) => [table.right.includes(k) ? "right" : "", table.wide.includes(k) ? "wide" : ""].join(" ").trim() || null;
    const heads = table.heads.map((words, k) => el("th", { scope: "col", class: shape(k) }, words));
    const body = table.rows.map((row) => {
      const made = el("tr", { onclick: () => this.#choose(row) }, ...row.cells.map((cell, k) => this.#cell(row, cell, k, shape(k))));
      this.rows.set(row.key, { made, row });
      return made;
    });
    this.box.replaceChildren(
      el("h2", {}, this.title),
      el("table", {}, el("thead", {}, el("tr", {}, ...heads)), el("tbody", {}, ...body)),
      el("p", { class: "foot" }, table.foot),
    );
    this.#mark();
    this.#pick();
  }

  #cell(row, cell, k, shape) {
    if (k || !row.names.length) return el("td", { class: [shape, LENGTH.test(cell) ? "tight" : ""].join(" ").trim() || null }, cell);
    const choose = (event) => {
      event.stopPropagation();
      this.#choose(row);
    };
    return el("td", {}, button(cell, choose, { class: "plain", title: row.names.join(", ") }));
  }

  #choose(row) {
    if (row.names.length) this.store.pick(row.names, this.id);
  }

  #mark() {
    if (!this.rows) return;
    const moved = new Set((this.store.sections.change?.rows ?? []).map((row) => row.after.mark));
    for (const [key, { made }] of this.rows) made.classList.toggle("moved", moved.has(key));
  }

  #pick(from) {
    if (!this.rows) return;
    let first = null;
    for (const { made, row } of this.rows.values()) {
      const yes = row.names.some((name) => this.store.picked.has(name));
      made.classList.toggle("picked", yes);
      if (yes) first ??= made;
    }
    if (first && from !== this.id && !this.sheet.hidden) first.scrollIntoView({ block: "nearest" });
  }
}

/** What the last change did: sums, then mark by mark, before and after. */
export class ChangeTable {
  constructor(store, tray) {
    this.store = store;
    this.tray = tray;
    this.sheet = tray.add("change", "Changed");
    this.box = el("div");
    this.rods = el("div");
    this.sheet.append(this.rods, this.box);
    store.on("section:change", (change) => this.#show(change));
    store.on("section:rods", (rods) => this.#showRods(rods));
    this.#show(null);
  }

  #show(change) {
    const rows = change?.rows ?? [];
    this.tray.count("change", 0);
    if (!change) {
      this.box.replaceChildren(el("h2", {}, "What a change did"), el("p", {}, "Nothing has been moved yet."));
      return;
    }
    this.box.replaceChildren(
      el("h2", {}, "What the last change did"),
      el("p", {}, rows.length ? `${rows.reduce((sum, row) => sum + row.count, 0)} pieces are cut otherwise.` : "No piece is cut otherwise."),
      sumsTable(change), el("div", { class: "scroll" }, changesTable(change, (names) => this.store.pick(names, "change"))),
    );
  }

  /** What rods lie where, and what lay there before the boat was moved. */
  #showRods({ now, before }) {
    const lines = now.flatMap((line, k) => [
      el("p", {}, line),
      ...(before[k] && before[k] !== line ? [el("p", { class: "was" }, `before: ${before[k]}`)] : []),
    ]);
    this.rods.replaceChildren(...(lines.length ? [el("h2", {}, "Rods"), ...lines] : []));
  }
}

/** The sums that differ, before and after. */
export function sumsTable(change) {
  const sums = change.sums.filter((sum) => sum.before !== sum.after);
  return table(["", "before", "after"], sums.map((sum) => [sum.what, sum.before, sum.after]));
}

/** Mark by mark what is cut otherwise, before and after. */
export function changesTable(change, pick) {
  return table(
    ["before", "", "after", "", "where"],
    change.rows.map((row) => [row.before.mark || "new", row.before.size, row.after.mark || "gone", row.after.size, row.said]),
    (k) => () => pick(change.rows[k].names),
  );
}

/** Several tables with titles and notes, such as how she floats. */
export class Leaves {
  constructor(store, sheet, id) {
    this.box = el("div", { class: "leaves" });
    sheet.append(this.box);
    store.on(`section:${id}`, (leaves) => this.box.replaceChildren(...leaves.flatMap((leaf) => this.#leaf(leaf))));
  }

  #leaf({ title, head, rows, notes }) {
    return [
      el("h2", {}, title), el("div", { class: "scroll" }, table(head, rows)),
      ...notes.map((note) => el("p", { class: "soft note" }, note)),
    ];
  }
}

/** A plain table of text. */
export function table(heads, rows, choose = null) {
  if (!rows.length) return el("p", { class: "soft" }, "");
  return el(
    "table", {},
    el("thead", {}, el("tr", {}, ...heads.map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, ...rows.map((cells, k) =>
      el("tr", choose ? { onclick: choose(k) } : {}, ...cells.map((cell, c) =>
        el("td", { class: LENGTH.test(cell) ? "tight" : null }, choose && c === 0 ? button(cell, choose(k), { class: "plain" }) : cell))))),
  );
}
