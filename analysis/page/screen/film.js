// One simulated tank in the film player, in a frame of its own that can reach nothing of this page.

import { ask, refusal } from "./ask.js";
import { clear, details, paragraphs, problemBox, put, say, showProblems } from "./dom.js";
import { settled } from "./job.js";
import { open } from "./sheets.js";

const PARTS = {};
let asked = 0; // the last film asked for is the one that is shown
let given = new AbortController();

export function mount(parent) {
  PARTS.none = put(parent, "p", "Try the tank; then any of its simulated tanks can be watched here.", { class: "soft" });
  PARTS.told = put(parent, "p", null, { class: "soft", hidden: true });
  PARTS.problems = problemBox(parent);
  PARTS.film = put(parent, "div", null, { class: "film", hidden: true });
  PARTS.head = put(PARTS.film, "h3", null, { tabindex: -1, dir: "auto" });
  PARTS.place = put(PARTS.film, "div");
  PARTS.links = put(PARTS.film, "p", null, { class: "buttons" });
  PARTS.why = put(details(PARTS.film, "Why this tank, these minutes and this fish"), "div");
}

/**
 * Make a film and show it: of the tank as it is (`which` 0) or of a copy, of one simulated tank (`trial`; null leaves
 * the choice to Rockshy), `beside` another copy in step, with a `change` {job, number} that work put forward. `title`:
 * what is shown; `file`: the one the answer is of; `quiet`: without moving to it, since nobody asked for it.
 */
export async function showFilm(draft, { file = null, title = "", quiet = false, ...wanted }) {
  asked += 1;
  const mine = asked;
  given.abort();
  given = new AbortController();
  tell(`Making the film${title ? ` of ${title}` : ""}.`, quiet);
  if (!quiet) goTo(PARTS.told);
  const fault = await refusal(async () => {
    try {
      await settled(draft);
      if (mine !== asked) return;
      const usual = { which: 0, trial: null, beside: null, change: null, minutes: null };
      const body = { ...usual, ...wanted, draft: file ?? draft.file };
      const made = await ask("/film", body, { signal: given.signal });
      if (mine === asked && made.shown) show(made, title, quiet);
    } catch (gone) {
      if (mine === asked) throw gone;
    }
  });
  if (!fault) return;
  PARTS.told.hidden = true;
  showProblems(PARTS.problems, fault.problems);
  say(`There is no film. ${fault.message}`);
}

function tell(text, quiet) {
  PARTS.none.hidden = true;
  showProblems(PARTS.problems, []);
  PARTS.told.hidden = false;
  PARTS.told.textContent = text;
  if (!quiet) say(text);
}

function show({ shown, why, trial }, title, quiet) {
  PARTS.told.hidden = true;
  PARTS.film.hidden = false;
  const name = [title, `simulated tank ${trial + 1}`].filter(Boolean).join(": ");
  PARTS.head.textContent = name.charAt(0).toUpperCase() + name.slice(1);
  clear(PARTS.why);
  paragraphs(PARTS.why, why ?? [], { class: "soft" });
  clear(PARTS.place); // a new frame: an old one with a new address would leave a step in the browser's history
  // no allow-same-origin: whatever a file calls its fish, the film cannot ask this server for anything
  const props = { src: shown, title: `Film: ${name}`, sandbox: "allow-scripts", allow: "fullscreen", class: "player" };
  put(PARTS.place, "iframe", null, props);
  clear(PARTS.links);
  put(PARTS.links, "a", "Open it in a new tab", { href: shown, target: "_blank", rel: "noopener", class: "button" });
  put(PARTS.links, "a", "Save the film", { href: shown, download: fileName(name), class: "button" });
  if (quiet) return;
  say(`The film is ready: ${name}.`);
  goTo(PARTS.head);
}

function goTo(element) {
  open("film", element.hasAttribute("tabindex") ? element : null);
}

const fileName = (name) => `${name.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "").slice(0, 60) || "film"}.html`;
