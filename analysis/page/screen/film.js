// One simulated tank in the film player, in a frame of its own that can reach nothing of this page.

import { ask, Refused } from "./ask.js";
import { clear, put, say, showProblems } from "./dom.js";
import { settled } from "./job.js";

const PARTS = {};
let asked = 0; // the last film asked for is the one that is shown
let given = new AbortController();

export function mountFilm(parent) {
  PARTS.none = put(parent, "p", "Try the tank; then any of its simulated tanks can be watched here.", { class: "soft" });
  PARTS.told = put(parent, "p", null, { class: "soft", hidden: true });
  PARTS.problems = put(parent, "div", null, { hidden: true });
  PARTS.film = put(parent, "div", null, { class: "film", hidden: true });
  PARTS.head = put(PARTS.film, "h3", null, { tabindex: -1, dir: "auto" });
  PARTS.place = put(PARTS.film, "div");
  PARTS.links = put(PARTS.film, "p", null, { class: "buttons" });
  const more = put(PARTS.film, "details");
  put(more, "summary", "Why this tank, these minutes and this fish");
  PARTS.why = put(more, "div");
}

/** Whether a film is shown or being made. */
export const hasFilm = () => asked > 0;

/**
 * Make a film and show it.
 *
 * @param {Draft} draft
 * @param {object} wanted
 * @param {number} wanted.which the tank as it is (0) or a copy
 * @param {?number} wanted.trial which simulated tank; null leaves the choice to Rockshy
 * @param {?number} wanted.beside another copy to be shown in step beside it
 * @param {?{job: string, number: number}} wanted.change a change or an amount of rock that work put forward
 * @param {string} wanted.title what is shown, for the heading
 * @param {object} [wanted.file] the file the answer is of, where it is not the draft's of now
 * @param {boolean} [wanted.quiet] without moving to it: nobody asked for it
 */
export async function showFilm(draft, { which = 0, trial = null, beside = null, change = null, title = "", file = null, quiet = false }) {
  asked += 1;
  const mine = asked;
  given.abort();
  given = new AbortController();
  tell(`Making the film${title ? ` of ${title}` : ""}.`, quiet);
  if (!quiet) goTo(PARTS.told);
  try {
    await settled(draft);
    if (mine !== asked) return;
    const body = { draft: file ?? draft.file, which, trial, beside, change, minutes: null };
    const made = await ask("/film", body, { signal: given.signal });
    if (mine === asked) show(made, title, quiet);
  } catch (fault) {
    if (mine !== asked) return;
    if (!(fault instanceof Refused)) throw fault;
    PARTS.told.hidden = true;
    showProblems(PARTS.problems, fault.problems);
    say(`There is no film. ${fault.problems.join(" ")}`);
  }
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
  const name = [title, `simulated tank ${trial}`].filter(Boolean).join(": ");
  PARTS.head.textContent = name.charAt(0).toUpperCase() + name.slice(1);
  clear(PARTS.why);
  for (const text of why ?? []) put(PARTS.why, "p", text, { dir: "auto", class: "soft" });
  clear(PARTS.place); // a new frame: an old one with a new address would leave a step in the browser's history
  // no allow-same-origin: whatever a file calls its fish, the film cannot ask this server for anything
  const props = { src: shown, title: `Film: ${name}`, sandbox: "allow-scripts", allow: "fullscreen", class: "player" };
  put(PARTS.place, "iframe", null, props);
  clear(PARTS.links);
  put(PARTS.links, "a", "Open it in a page of its own", { href: shown, target: "_blank", rel: "noopener", class: "button" });
  put(PARTS.links, "a", "Save the film", { href: shown, download: fileName(name), class: "button" });
  if (quiet) return;
  say(`The film is there: ${name}.`);
  goTo(PARTS.head);
}

function goTo(element) {
  const gently = !matchMedia("(prefers-reduced-motion: reduce)").matches;
  (element.closest("section") ?? element).scrollIntoView({ behavior: gently ? "smooth" : "auto", block: "start" });
  if (element.hasAttribute("tabindex")) element.focus({ preventScroll: true });
}

const fileName = (name) => `${name.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "").slice(0, 60) || "film"}.html`;
