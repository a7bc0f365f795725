// Undo, redo, keep, drop; and how the line to the workshop stands.

import { button, byId } from "./dom.js";

export class Steps {
  constructor(store, link) {
    this.link = link;
    this.line = byId("line");
    const ask = (what) => () => link.ask({ do: what });
    this.undo = button("Undo", ask("undo"), { disabled: true });
    this.redo = button("Redo", ask("redo"), { disabled: true });
    this.keep = button("Keep", ask("keep"), { disabled: true, title: "write the moved values into the file" });
    this.drop = button("Drop", ask("drop"), { disabled: true, title: "go back to the values of the file" });
    byId("steps").append(this.undo, this.redo, this.keep, this.drop);
    store.on("section:history", (history) => this.#show(history));
    link.addEventListener("up", () => this.#say("", false));
    link.addEventListener("down", () => this.#say("no line to the workshop; trying again", true));
    link.addEventListener("said", ({ detail }) => {
      if (detail.kept) this.#say(`kept in ${detail.kept}`, false);
      if (detail.refused) this.#say(detail.refused, true);
    });
    document.addEventListener("keydown", (event) => this.#key(event));
  }

  #show({ undos, redos, moved }) {
    this.undo.disabled = !undos;
    this.redo.disabled = !redos;
    this.keep.disabled = this.drop.disabled = !moved;
    if (this.line.classList.contains("lost") && !this.link.up) return;
    if (moved) this.#say(`${moved} moved, not kept`, false);
    else if (/not kept$/.test(this.line.textContent)) this.#say("", false);
  }

  #say(words, lost) {
    this.line.textContent = words;
    this.line.classList.toggle("lost", lost);
  }

  #key(event) {
    // A field of text has its own undo.
    if (!(event.ctrlKey || event.metaKey) || event.target.matches?.("input[type=text], input[type=search]")) return;
    const key = event.key.toLowerCase();
    const what = key === "z" ? (event.shiftKey ? "redo" : "undo") : key === "y" ? "redo" : null;
    if (!what) return;
    this.link.ask({ do: what });
    event.preventDefault();
  }
}
