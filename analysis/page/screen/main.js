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
import { RockState } from "./rock_state.js";
import { opener, sheet } from "./sheets.js";
import { SpeciesPage } from "./species.js";
import { Stage } from "./stage.js";
import { mountStart } from "./start.js";
import { mountAdd, mountPaste, Stock } from "./stock.js";
import { mountStrip } from "./strip.js";
import { tab } from "./tab.js";
import { mountTimeline } from "./timeline.js";
import { mountTold } from "./told.js";
import { mountWatching } from "./watching.js";

const draft = new Draft();
const names = new Names(draft);
const species = new SpeciesPage(draft);
const state = new RockState(draft);
const stage = new Stage(byId("stage"), draft, state);

/** What opens over the tank: [its heading, how it is called in the bar, whether it is wide, what fills it]. */
const SHEETS = {
  start: ["Start", "Start", "", (box) => mountStart(box, draft)],
  tank: ["Tank", "", "", (box) => {
    new Fields(box, draft, TANK).box.classList.add("wide-fields");
    new Fields(box, draft, SIDES);
    new Fields(details(box, "Finer settings"), draft, FINER);
    mountTold(box, draft, "tank");
  }],
  rock: ["Rock", "", "", async (box) => {
    mountRockFields(box, draft);
    new Fields(details(box, "Finer settings"), draft, ROCK_FINER);
    (await import("./rock.js")).mount(put(box, "div", null, { id: "rock-drawing" }), draft, stage);
    mountTold(box, draft, "rock");
  }],
  fish: ["Fish, row by row", "", "", (box) => {
    new Stock(box, draft, names, (name) => species.open(name));
    mountAdd(box, draft, names);
    mountPaste(box, draft);
    mountTold(box, draft, "fish");
  }],
  happens: ["What happens when", "", "", (box) => mountTimeline(box, draft)],
  run: ["How it is run", "How it is run", "", (box) => {
    new Fields(box, draft, RUN);
    new Fields(details(box, "Finer settings"), draft, RUN_FINER);
    mountTold(box, draft, "run");
  }],
  copies: ["Copies to change", "", "", (box) => new Copies(box, draft)],
  tries: ["Every fish, every tank", "", "wide"],
  "what-if": ["What if", "", "wide", async (box) => (await import("./whatif.js")).mount(box, draft, stage)],
  "what-helps": ["What helps a fish", "", "wide", async (box) => (await import("./relief.js")).mount(box, draft)],
  "how-much-rock": ["How much rock", "", "wide", async (box) => (await import("./sweep.js")).mount(box, draft)],
  amounts: ["Less or more", "", "", async (box) => (await import("./less_more.js")).mount(box, draft)],
  wishes: ["What could live here", "", "wide", async (box) => (await import("./wishes.js")).mount(box, draft)],
  "fish-room": ["Fish room", "", "wide", async (box) => (await import("./fish_room.js")).mount(box, draft)],
  film: ["A simulated tank to watch", "", "wide", async (box) => (await import("./film.js")).mount(box)],
  looks: ["At the tank", "At the tank", "", (box) => mountWatching(box, draft)],
  keep: ["Keep and open", "Keep, print", "wide", (box) => mountKeep(box, draft)],
};

async function attempt(box, mount) {
  try {
    await mount?.(box);
  } catch (fault) {
    console.warn(fault);
    clear(box);
    put(box, "p", "This part of the page could not be shown. The others still work.", { class: "soft" });
  }
}

mountBar(draft);
const filled = [];
for (const [id, [title, link, kind, fill]] of Object.entries(SHEETS)) {
  const box = sheet(id, title, kind);
  if (link) opener(byId("opens"), link, id);
  filled.push(attempt(box, fill));
}
attempt(byId("strip"), (box) => mountStrip(box, { draft, names, stage, species }));
mountBanner(draft);
keepFocus();
filled.push(attempt(byId("answer"), async (box) => (await import("./trying.js")).mount(box, draft, stage)));
await draft.begin(Promise.all(filled)).catch(() => {});
await Promise.all(filled);
await mountEarlier(draft, tab.fresh);
document.documentElement.dataset.ready = "yes";
