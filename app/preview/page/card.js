// The card of the piece that is picked: its numbers, its drawing, and how far its lid stands open.

import { el, button, byId, pressed } from "./dom.js";

export class Card {
  #told = null;

  constructor(store, link, lids, stage, cards = {}) {
    Object.assign(this, { store, link, lids, stage, cards });
    this.box = byId("card");
    store.on("picked", () => this.#show());
    store.on("pieces", () => this.store.picked.size && this.#show());
    store.on("lid", () => this.#moveSlider());
    store.on("looks", () => this.#marks());
    link?.addEventListener("said", (event) => {
      if (event.detail.card) this.#fill(event.detail.card);
    });
  }

  #show() {
    const name = [...this.store.picked][0];
    const piece = this.store.pieces.get(name);
    this.box.hidden = !piece;
    if (!piece) return;
    this.name = name;
    const others = this.store.picked.size - 1;
    // Names break after their joints, not within a word.
    const parts = name.split(/(?<=[/.])/).flatMap((part) => [el("wbr"), part]);
    this.head = el("h2", {}, piece.mark ? `${piece.mark} ` : "", ...parts);
    this.lines = el("dl");
    this.picture = el("div");
    this.box.replaceChildren(
      this.head,
      el("p", { class: "soft" }, others ? `${piece.kind}; ${others} more picked with it` : piece.kind),
      this.#buttons(piece), ...this.#lid(name), this.lines, this.picture,
      ...(piece.line ? [el("p", { class: "soft" }, `from line ${piece.line}, ${piece.key}`)] : []),
    );
    this.#marks();
    if (this.#told?.name === name && !this.link) this.#fill(this.#told);
    else if (this.cards[name]) this.#fill(this.cards[name]);
    else {
      if (piece.mass) this.#line("mass", `${piece.mass.toFixed(2)} kg`);
      this.link?.ask({ do: "card", name });
    }
  }

  #buttons(piece) {
    const names = () => [...this.store.picked];
    this.hide = button("Hide", () => this.store.look("hidden", names(), this.store.isShown(piece.name)));
    this.fade = button("Fade", () => this.store.look("faded", names(), !this.store.faded.has(piece.name)));
    return el(
      "div", { class: "row" }, this.hide, this.fade,
      button("Go to", () => this.stage.look(null, names())),
      button("Done", () => this.store.pick([], "card")),
    );
  }

  #lid(name) {
    const row = this.lids.of(name);
    this.slider = null;
    if (!row || !row.limit) return [];
    this.lid = row;
    this.slider = el("input", {
      type: "range", min: 0, max: 1, step: 0.01, "aria-label": "how far the lid stands open",
      oninput: () => this.lids.set(row.name, Number(this.slider.value)),
    });
    this.opener = button("Open", () => this.lids.swing(row.name, this.lids.share(row.name) > 0.5 ? 0 : 1));
    this.words = el("p", { class: "soft" });
    this.#moveSlider();
    return [this.words, el("div", { class: "row" }, this.opener, el("div", { class: "grow" }, this.slider))];
  }

  #moveSlider() {
    if (!this.slider) return;
    const share = this.lids.share(this.lid.name);
    this.slider.value = share;
    this.words.textContent = this.lids.words(this.lid);
    this.opener.textContent = share > 0.5 ? "Close" : "Open";
  }

  #marks() {
    if (!this.hide || this.box.hidden) return;
    pressed(this.hide, !this.store.isShown(this.name));
    pressed(this.fade, this.store.faded.has(this.name));
  }

  #fill(card) {
    if (card.name !== this.name) return;
    this.#told = card;
    this.lines.replaceChildren();
    for (const [what, said] of card.lines) this.#line(what, said);
    // As a picture, a drawing can run nothing and fetch nothing, whatever its text is.
    const picture = el("img", {
      src: `data:image/svg+xml,${encodeURIComponent(card.svg)}`, alt: `drawing of ${card.mark || card.name}`,
    });
    this.picture.replaceChildren(...(card.svg ? [picture] : []));
  }

  #line(what, said) {
    this.lines.append(el("dt", {}, what), el("dd", {}, said));
  }
}
