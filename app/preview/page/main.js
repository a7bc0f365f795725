// Puts the page together. Live, the boat comes over the line; handed over as one file, it stands in the page itself.

import { el, button, byId, pressed } from "./dom.js";
import { Store } from "./store.js";
import { Link } from "./link.js";
import { Stage, STANDS } from "./stage.js";
import { Aim } from "./aim.js";
import { Lids } from "./lids.js";
import { Tray } from "./tray.js";
import { Dimensions } from "./dimensions.js";
import { PieceTable, ChangeTable, Leaves } from "./tables.js";
import { Tree } from "./tree.js";
import { Card } from "./card.js";
import { Faults, Findings } from "./findings.js";
import { Measure } from "./measure.js";
import { Cut } from "./cut.js";
import { Uses } from "./uses.js";
import { Compare } from "./compare.js";
import { Steps } from "./steps.js";
import { Hands } from "./hands.js";

const store = new Store();
const stage = drawn();

/** The view; without it there is nothing to do but say so. */
function drawn() {
  try {
    return new Stage(store, byId("boat"));
  } catch (error) {
    byId("faults").replaceChildren(
      el("div", {}, "This browser cannot draw the boat: it has no WebGL 2, or it is switched off in its settings."));
    throw error;
  }
}

const lids = new Lids(store, stage);
const tray = new Tray();
const handed = byId("handover");
const link = handed ? null : new Link(store);

if (link) new Dimensions(store, link, tray.add("dimensions", "Dimensions"));
new Tree(store, tray);
new PieceTable(store, tray, "saw", "Saw list", "Saw list");
new PieceTable(store, tray, "sheets", "Sheet", "Pieces of sheet");
if (link) new ChangeTable(store, tray);
new Findings(store, stage, tray);
new Leaves(store, new PieceTable(store, tray, "weights", "Weights", "Weights of what is built in").sheet, "afloat");
new PieceTable(store, tray, "strength", "Strength", "What carries, the hardest used first");
if (link) {
  new PieceTable(store, tray, "sticks", "Sticks", "Stick plan");
  new PieceTable(store, tray, "nests", "Nests", "Sheets with what is cut from them");
  new PieceTable(store, tray, "buy", "Buy", "To buy");
  new Compare(store, link, tray);
}
new Faults(store);
const cards = handed ? JSON.parse(byId("handover-cards").textContent) : {};
new Card(store, link, lids, stage, cards);
if (link) new Steps(store, link);

const aim = new Aim(store, stage);
const measure = new Measure(store, stage, aim);
const cut = new Cut(store, stage, byId("handles"));
new Hands(store, stage, { aim, measure, lids });

store.on("section:boat", ({ title, file }) => {
  byId("title").textContent = title;
  byId("file").textContent = link ? file : "handed over to look at; not for building from";
  document.title = `${title}, preview`;
});

let fitted = false;
let unmark = 0;
store.on("pieces", ({ whole, rows }) => {
  // What just moved is marked for a moment; what a version is held against has colours of its own.
  const moved = whole ? [] : rows.filter((row) => row.counts && !row.name.startsWith("was/"));
  stage.layers.moved = new Set(moved.map((row) => row.name));
  stage.refresh();
  clearTimeout(unmark);
  unmark = setTimeout(() => {
    stage.layers.moved = new Set();
    stage.refresh();
  }, 1500);
  if (fitted) return;
  fitted = true;
  stage.look(STANDS[0][1], null, { fast: true });
});
store.on("looks", () => {
  stage.showLines();
  stage.refresh();
});
store.on("picked", () => stage.refresh());

stage.rows = () => 14 + Math.max(byId("stands").offsetHeight, byId("tools").offsetHeight);
for (const [words, from] of STANDS) byId("stands").append(button(words, () => stage.look(from, null)));
byId("stands").append(button("Fit", () => stage.look(null, null)));

const toggles = [
  ["Parallel", (yes) => stage.setParallel(yes)],
  ["Cut", (yes) => (cut.on = yes)],
  ["Port half", (yes) => (cut.half = yes)],
  ["Measure", (yes) => tape(yes)],
  ["Lids", (yes) => lids.swingAll(yes ? 1 : 0)],
];
for (const [words, does] of toggles) {
  const made = button(words, () => {
    const yes = made.getAttribute("aria-pressed") !== "true";
    pressed(made, yes);
    does(yes);
  }, { "aria-pressed": "false" });
  byId("tools").append(made);
}

new Uses(store, byId("tools"), byId("handles"));

const read = el("p", { role: "status" });
const reading = el("div", { hidden: true }, el("strong", {}, "Measure"), read);
byId("handles").append(reading);
function tape(yes) {
  measure.start(yes);
  reading.hidden = !yes;
  read.textContent = measure.words();
}
store.on("measured", (said) => (read.textContent = said));

if (handed) {
  const bytes = Uint8Array.from(atob(handed.textContent.trim()), (letter) => letter.charCodeAt(0));
  store.take(bytes.buffer, true);
}
