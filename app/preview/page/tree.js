// The boat as a tree: what hangs under what, shown, hidden or faded; found by mark or name.

import { el, button, pressed } from "./dom.js";

const WORDS = {
  hull: "Hull", members: "Frame", decks: "Decks", panels: "Faces, walls and floors", lids: "Lids", fixtures: "Fittings", rods: "Rods", wires: "Wires", hoses: "Hoses", passages: "Chases", was: "As it was",
};

export class Tree {
  #open = new Set();
  #rows = new Map();
  #groups = [];
  #state = "";

  constructor(store, tray) {
    this.store = store;
    this.sheet = tray.add("tree", "Pieces");
    this.search = el("input", {
      type: "search", "aria-label": "Find a piece by mark or name", placeholder: "mark or name, such as F12",
      oninput: () => this.#draw(),
    });
    this.list = el("ul", { class: "tree" });
    const all = button("Show all", () => {
      store.hidden.clear();
      store.faded = new Set();
      store.tell("looks");
    });
    this.sheet.append(el("h2", {}, "Pieces"), el("div", { class: "row" }, this.search, all), this.list);
    store.on("pieces", () => this.#pieces());
    store.on("looks", () => this.#mark());
    store.on("picked", ({ from }) => this.#pick(from));
  }

  #pieces() {
    const state = [...this.store.pieces.values()].map((piece) => piece.name + piece.mark).join();
    if (state === this.#state) return;
    this.#state = state;
    this.#draw();
  }

  #draw() {
    this.#rows.clear();
    this.#groups = [];
    const wanted = this.search.value.trim().toLowerCase();
    const pieces = [...this.store.pieces.values()].filter((piece) => !piece.name.startsWith("found/"));
    if (wanted) {
      const exact = pieces.filter((piece) => piece.mark.toLowerCase() === wanted);
      const found = exact.length ? exact : pieces.filter((piece) => `${piece.mark} ${piece.name}`.toLowerCase().includes(wanted));
      this.list.replaceChildren(...found.slice(0, 200).map((piece) => this.#piece(piece)));
      if (!found.length) this.list.append(el("li", {}, "no piece of that mark or name"));
    } else {
      this.list.replaceChildren(...this.#branches(pieces, 0, ""));
    }
    this.#mark();
  }

  #branches(pieces, depth, above) {
    const groups = new Map();
    for (const piece of pieces) {
      const key = piece.path[depth] ?? "";
      if (!groups.has(key)) groups.set(key, []);
      groups.get(key).push(piece);
    }
    return [...groups].flatMap(([key, own]) =>
      key === "" || own[0].name === key ? own.map((piece) => this.#piece(piece)) : [this.#group(key, own, depth, `${above}/${key}`)]);
  }

  #group(key, pieces, depth, id) {
    const names = pieces.map((piece) => piece.name);
    const open = this.#open.has(id);
    const opener = button(WORDS[key] ?? key, () => {
      open ? this.#open.delete(id) : this.#open.add(id);
      this.#draw();
      this.list.querySelector(`[data-group="${CSS.escape(id)}"]`)?.focus();
    }, { class: "plain open group", "aria-expanded": open ? "true" : "false", "data-group": id });
    opener.append(el("span", { class: "soft" }, ` ${names.length}`));
    const inside = open ? el("ul", {}, ...this.#branches(pieces, depth + 1, id)) : null;
    return el("li", {}, this.#line(names, opener, WORDS[key] ?? key), inside);
  }

  #piece(piece) {
    const own = piece.name.split("/").at(-1);
    const choose = button("", () => this.store.pick([piece.name], "tree"), { class: "plain", title: piece.name });
    choose.append(...(piece.mark ? [el("span", { class: "mark" }, piece.mark), " "] : []), this.search.value ? piece.name : own);
    const line = this.#line([piece.name], choose, piece.name);
    this.#rows.set(piece.name, line);
    return el("li", {}, line);
  }

  #line(names, middle, said) {
    const box = el("input", {
      type: "checkbox", "aria-label": `show ${said}`,
      onchange: () => this.store.look("hidden", names, !box.checked),
    });
    const fade = button("fade", () => this.store.look("faded", names, fade.getAttribute("aria-pressed") !== "true"), {
      class: "fade", "aria-label": `fade ${said}`,
    });
    this.#groups.push({ names, box, fade });
    return el("div", { class: "piece" }, el("span", {}, box), middle, fade);
  }

  #mark() {
    for (const { names, box, fade } of this.#groups) {
      const shown = names.filter((name) => this.store.isShown(name)).length;
      box.checked = shown > 0;
      box.indeterminate = shown > 0 && shown < names.length;
      pressed(fade, names.every((name) => this.store.faded.has(name)));
    }
    this.#pick("tree");
  }

  #pick(from) {
    if (from !== "tree" && this.store.picked.size && !this.search.value) this.#reveal([...this.store.picked][0]);
    let first = null;
    for (const [name, line] of this.#rows) {
      const yes = this.store.picked.has(name);
      line.classList.toggle("picked", yes);
      if (yes) first ??= line;
    }
    if (first && from !== "tree" && !this.sheet.hidden) first.scrollIntoView({ block: "nearest" });
  }

  /** Opens the branches down to a piece. */
  #reveal(name) {
    const piece = this.store.pieces.get(name);
    if (!piece || this.#rows.has(name)) return;
    let id = "";
    for (const key of piece.path) this.#open.add((id += `/${key}`));
    this.#draw();
  }
}
