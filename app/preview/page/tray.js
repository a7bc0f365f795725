// The tabs beside the view; one sheet is shown at a time.

import { el, byId } from "./dom.js";

export class Tray {
  #tabs = new Map();

  /** Adds a sheet under a tab and gives the element to fill. */
  add(id, words) {
    const tab = el("button", {
      type: "button", role: "tab", id: `tab-${id}`, "aria-controls": `sheet-${id}`, "aria-selected": "false",
      tabindex: "-1", onclick: () => this.show(id), onkeydown: (event) => this.#key(event, id),
    }, words);
    const sheet = el("section", {
      role: "tabpanel", id: `sheet-${id}`, "aria-labelledby": `tab-${id}`, tabindex: "-1", hidden: true,
    });
    byId("tabs").append(tab);
    byId("sheets").append(sheet);
    this.#tabs.set(id, { tab, sheet, words });
    if (this.#tabs.size === 1) this.show(id);
    return sheet;
  }

  get shown() {
    return [...this.#tabs].find(([, { sheet }]) => !sheet.hidden)?.[0];
  }

  show(id) {
    for (const [other, { tab, sheet }] of this.#tabs) {
      const yes = other === id;
      tab.setAttribute("aria-selected", yes ? "true" : "false");
      tab.tabIndex = yes ? 0 : -1;
      sheet.hidden = !yes;
    }
    byId("sheets").scrollTop = 0;
  }

  /** A number beside the tab's words, such as how many findings there are; none where it is 0. */
  count(id, number) {
    const { tab, words } = this.#tabs.get(id);
    tab.replaceChildren(words, ...(number ? [el("span", { class: "badge" }, String(number))] : []));
  }

  #key(event, id) {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    const ids = [...this.#tabs.keys()];
    const next = ids[(ids.indexOf(id) + step + ids.length) % ids.length];
    this.show(next);
    this.#tabs.get(next).tab.focus();
    event.preventDefault();
  }
}
