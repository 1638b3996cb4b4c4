// What was understood of a part, what the model cannot judge there, and the cautions: beside what they concern.

import { clear, put, showTexts } from "./dom.js";

const CAUTION_AT = { rock: "rock", power: "rock" }; // all others stand with the fish

/** Show sentences, flags and cautions of one part ("tank", "rock", "fish", "run") as the draft changes. */
export function mountTold(parent, draft, part) {
  const box = put(parent, "div", null, { class: "told" });
  const understood = put(box, "details", null, { class: "understood-box" });
  const rest = put(box, "div");
  const show = () => {
    showUnderstood(understood, draft.view?.checks?.[part] ?? []);
    fill(rest, draft.view ?? {}, part);
  };
  draft.addEventListener("view", show);
  show();
}

/** The first sentence always, the others at a click. What was open stays open. */
function showUnderstood(box, [first, ...others]) {
  clear(box);
  box.hidden = first === undefined;
  if (box.hidden) return;
  put(box, "summary", first.text, { dir: "auto" });
  const list = put(box, "ul", null, { class: "understood", "aria-label": "What was understood" });
  showTexts(list, others);
}

function fill(box, view, part) {
  clear(box);
  for (const flag of (view.flags ?? []).filter((one) => one.about === part))
    showFlag(box, flag, view.sources ?? []);
  for (const { about, text } of view.cautions ?? []) {
    if ((CAUTION_AT[about] ?? "fish") === part) put(box, "p", text, { class: "caution", dir: "auto" });
  }
}

function showFlag(box, { text, rests_on: restsOn }, sources) {
  const flag = put(box, "div", null, { class: "flag" });
  put(flag, "p", text, { dir: "auto" });
  if (!restsOn) return;
  const more = put(flag, "details");
  put(more, "summary", "What this rests on");
  put(more, "p", restsOn, { dir: "auto" });
  const named = sources.filter((one) => restsOn.includes(one.split(":")[0]));
  for (const source of named) put(more, "p", source, { class: "source", dir: "auto" });
}

/** Problems that have no field of their own, and how many stand at fields, with the way to the first of them. */
export function mountProblems(box, draft) {
  draft.addEventListener("view", () => showAll(box, draft.view));
}

function showAll(box, view) {
  clear(box);
  const atFields = countAtFields(view);
  box.hidden = !view.problems?.length && !atFields;
  if (box.hidden) return;
  put(box, "h3", "To put right before it can be tried");
  const list = put(box, "ul");
  for (const problem of view.problems ?? []) put(list, "li", problem, { dir: "auto" });
  if (!atFields) return;
  const line = put(list, "li", atFields === 1 ? "One field below: " : `${atFields} fields below: `);
  const go = put(line, "button", "go to the first", { type: "button", class: "link" });
  go.addEventListener("click", () => document.querySelector("main [aria-invalid=true]")?.focus());
}

function countAtFields(view) {
  const fields = Object.values(view.fields ?? {}).filter((one) => one.problems?.length).length;
  const cells = (view.stock ?? [])
    .flatMap((row) => Object.values(row.problems ?? {}))
    .filter((one) => one.length);
  return fields + cells.length;
}
