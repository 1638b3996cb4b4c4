// Puts the page together. A part that cannot be had leaves the others as they are.

import { mountBanner, mountEarlier } from "./banner.js";
import { mountBar } from "./bar.js";
import { Copies } from "./copies.js";
import { byId, clear, details, put } from "./dom.js";
import { Draft } from "./draft.js";
import { keepFocus } from "./focus.js";
import { Fields, FINER, ROCK_FINER, RUN, RUN_FINER, SIDES, TANK } from "./form.js";
import { mountKeep } from "./keep.js";
import { Names } from "./names.js";
import { mountRockFields } from "./rock_fields.js";
import { SpeciesPage } from "./species.js";
import { mountAdd, mountPaste, Stock } from "./stock.js";
import { tab } from "./tab.js";
import { mountProblems, mountTold } from "./told.js";

const draft = new Draft();

/** Each part of the page: [where it stands, its heading, what leads to it in the list on top, what fills it]. */
const PARTS = {
  copies: ["build", "The tank and its copies", "", (box) => {
    new Copies(box, draft);
    mountProblems(put(box.parentElement, "div", null, { class: "to-do", hidden: true, id: "problems-box" }), draft);
  }],
  tank: ["build", "Tank", "Tank", (box) => {
    new Fields(box, draft, TANK).box.classList.add("wide-fields");
    new Fields(box, draft, SIDES);
    new Fields(details(box, "Finer settings"), draft, FINER);
    mountTold(box, draft, "tank");
  }],
  rock: ["build", "Rock", "Rock", (box) => {
    mountRockFields(box, draft);
    new Fields(details(box, "Finer settings"), draft, ROCK_FINER);
    put(box, "div", null, { id: "rock-drawing" });
    mountTold(box, draft, "rock");
  }],
  fish: ["build", "Fish", "Fish", (box) => {
    const names = new Names(draft);
    const page = new SpeciesPage(draft);
    new Stock(box, draft, names, (species) => page.open(species));
    mountAdd(box, draft, names);
    mountPaste(box, draft);
    mountTold(box, draft, "fish");
  }],
  run: ["build", "How it is run", "Run", (box) => {
    const more = details(box, "Set how long, how often, and what is watched");
    new Fields(more, draft, RUN);
    new Fields(more, draft, RUN_FINER);
    mountTold(box, draft, "run");
  }],
  tries: ["answers", "Try", "Try"],
  film: ["answers", "A simulated tank to watch", ""],
  "what-if": ["answers", "What if", "What if"],
  "how-much-rock": ["answers", "How much rock", "How much rock"],
  keep: ["main", "Keep and open", "Keep, open", (box) => mountKeep(box, draft)],
};

/** Modules that draw and try, by the box that each is put into. */
const LATER = {
  "rock-drawing": "./rock.js",
  "film-box": "./film.js",
  "tries-box": "./trying.js",
  "what-if-box": "./whatif.js",
  "how-much-rock-box": "./sweep.js",
};

async function attempt(box, mount) {
  try {
    await mount(box);
  } catch (fault) {
    console.warn(fault);
    clear(box);
    put(box, "p", "This part of the page could not be shown. The others still work.", { class: "soft" });
  }
}

mountBar(draft);
for (const [id, [column, title, link, fill]] of Object.entries(PARTS)) {
  const head = `${id}-head`;
  const part = put(byId(column), "section", null, { id, class: "sheet", "aria-labelledby": head });
  put(part, "h2", title, { id: head });
  const box = put(part, "div", null, { id: `${id}-box` });
  if (link) put(put(byId("parts"), "li"), "a", link, { href: `#${id}` });
  if (fill) attempt(box, fill);
}
mountBanner(draft);
keepFocus();
const begun = draft.begin().catch(() => {});
for (const [id, module] of Object.entries(LATER)) {
  await attempt(byId(id), async (box) => (await import(module)).mount(box, draft));
}
await begun;
await mountEarlier(draft, tab.fresh);
document.documentElement.dataset.ready = "yes";
