// Elements made from plain values. Text goes in as text, never as markup, wherever it came from.

export function el(tag, attributes = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "class") made.className = value;
    else if (name === "value" || name === "checked" || name === "disabled" || name === "hidden") made[name] = value;
    else made.setAttribute(name, value === true ? "" : String(value));
  }
  made.append(...inside.filter((part) => part !== null && part !== undefined));
  return made;
}

export function button(words, does, attributes = {}) {
  return el("button", { type: "button", onclick: does, ...attributes }, words);
}

export const byId = (id) => document.getElementById(id);

export function pressed(made, yes) {
  made.setAttribute("aria-pressed", yes ? "true" : "false");
}
