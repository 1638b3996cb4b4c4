// Where to begin: a tank of one's own asked for piece by piece, a list, a file, a ready scenario.

import { button, buttonRow, byId, clear, labelled, on, problemBox, put, say } from "./dom.js";
import { attempt } from "./field.js";
import { isOpen, open } from "./sheets.js";

const ASKED = [
  ["length", "How long is the tank, inside the glass?", "120 cm, 48 in or 4 ft"],
  ["front_to_back", "How deep is it, from the front glass to the back?", "50 cm"],
  ["height", "How high is the glass?", "50 cm"],
];


export function mountStart(parent, draft) {
  put(parent, "section", null, { id: "earlier", "aria-label": "Kept from earlier pages", hidden: true });
  const ways = put(parent, "div", null, { class: "ways" });
  const place = put(parent, "div", null, { id: "start-asked" });
  const own = button(ways, "My tank, empty", () => askSides(place, draft), { id: "start-own" });
  put(ways, "span", "Three sides, then the first fish.", { class: "soft" });
  button(ways, "A list of my fish", () => askSides(place, draft, { list: true }));
  put(ways, "span", "Three sides, then a list pasted.", { class: "soft" });
  button(ways, "A file", () => openKeep("A file from this computer"));
  put(ways, "span", "That was kept here before.", { class: "soft" });
  button(ways, "A ready scenario", () => openKeep("A ready scenario"));
  put(ways, "span", "Club tanks with a question each.", { class: "soft" });
  button(ways, "A fish room", () => open("fish-room"));
  put(ways, "span", "Several tanks: who belongs where.", { class: "soft" });
  on(document, "sheet", ({ detail }) => {
    if (detail !== "start") return;
    clear(place);
    setTimeout(() => isOpen("start") && own.focus());
  });
}

function openKeep(label) {
  open("keep");
  const field = [...document.querySelectorAll("#keep label")].find((one) => one.textContent.startsWith(label));
  if (field) byId(field.htmlFor)?.focus();
}

/** One side after the other; then the tank is there, and the first fish is asked for. */
function askSides(place, draft, { list = false } = {}) {
  const given = {};
  const next = (k) => {
    clear(place);
    if (k === ASKED.length) return made();
    const [side, question, example] = ASKED[k];
    return askOne(place, { question, example, value: given[side] ?? "" }, (text) => {
      const all = k === 0 && allThree(text);
      if (all) {
        ASKED.forEach(([name], at) => (given[name] = all[at]));
        return next(ASKED.length);
      }
      given[side] = text;
      return next(k + 1);
    });
  };
  const made = async () => {
    const problems = problemBox(place);
    await attempt({ problems }, async () => {
      const unit = draft.units === "us" ? " in" : "";
      const sides = Object.fromEntries(Object.entries(given).map(([side, text]) => [side, /^[\d.,]+$/.test(text) ? `${text}${unit}` : text]));
      await draft.open({ sides }, "a tank of your own begun");
      closeAndAsk(list);
    });
    if (!problems.hidden) button(buttonRow(place), "Type the sides again", () => next(0)).focus();
  };
  return next(0);
}

/** Three sides typed at once, "48 x 18 x 21 in": the unit of the last is that of all that have none. */
function allThree(text) {
  const sides = text.split(/\s*[x\u00d7*]\s*/i);
  if (sides.length !== 3) return null;
  const unit = sides[2].replace(/^[\d.,/\s]+/, "");
  return sides.map((one) => (/^[\d.,/\s]+$/.test(one) && unit ? `${one.trim()} ${unit}` : one));
}

function askOne(place, { question, example, value }, done) {
  const form = put(place, "form");
  const { input, box } = labelled(form, question, "input", { type: "text", autocomplete: "off", placeholder: example, value });
  box.classList.add("asked-one");
  put(form, "button", "Next", { type: "submit", class: "main" });
  on(form, "submit", (event) => {
    event.preventDefault();
    if (input.value.trim()) done(input.value.trim());
    else input.focus();
  });
  input.focus();
}

function closeAndAsk(list) {
  if (list) {
    open("fish");
    const paste = [...document.querySelectorAll("#fish details")].find((one) => /Paste/.test(one.textContent));
    if (paste) paste.open = true;
    paste?.querySelector("textarea")?.focus();
    return say("The tank is there, empty. Paste your list.");
  }
  byId("start").close();
  byId("put-in").focus();
  return say("The tank is there, empty. Now the first fish: type 1m 3f and its name.");
}

