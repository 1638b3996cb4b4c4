// What was understood of a part, what the model cannot judge there, and the cautions: beside what they concern.

import { button, clear, details, on, paragraphs, put, showUnderstood } from "./dom.js";

const CAUTION_AT = { rock: "rock", power: "rock" }; // all others stand with the fish

/** Show sentences, flags and cautions of one part ("tank", "rock", "fish", "run") as the draft changes. */
export function mountTold(parent, draft, part) {
  const box = put(parent, "div", null, { class: "told" });
  const understood = details(box, "", { class: "understood-box" });
  const rest = put(box, "div");
  const show = () => {
    fillUnderstood(understood, draft.view?.checks?.[part] ?? []);
    fill(rest, draft.view ?? {}, part);
  };
  on(draft, "view", show);
  show();
}

/** The first sentence always, the others at a click. What was open stays open. */
function fillUnderstood(box, [first, ...others]) {
  clear(box);
  box.hidden = first === undefined;
  if (box.hidden) return;
  put(box, "summary", first.text, { dir: "auto" });
  showUnderstood(box, others, { "aria-label": "What was understood" });
}

function fill(box, view, part) {
  clear(box);
  for (const flag of view.flags ?? []) if (flag.about === part) showFlag(box, flag, view.sources ?? []);
  const cautions = (view.cautions ?? []).filter(({ about }) => (CAUTION_AT[about] ?? "fish") === part);
  showCautions(box, cautions);
}

export function showCautions(box, cautions) {
  paragraphs(box, cautions.map((one) => one.text), { class: "caution" });
}

function showFlag(box, { text, rests_on: restsOn }, sources) {
  const flag = put(box, "div", null, { class: "flag" });
  paragraphs(flag, [text]);
  if (!restsOn) return;
  const more = details(flag, "Where this comes from");
  paragraphs(more, [restsOn]);
  paragraphs(more, sources.filter((one) => restsOn.includes(one.split(":")[0])), { class: "source" });
}

/** Problems that have no field of their own, and how many stand at fields, with the way to the first of them. */
export function mountProblems(box, draft) {
  on(draft, "view", () => showAll(box, draft.view));
}

function showAll(box, view) {
  clear(box);
  const atFields = countAtFields(view);
  box.hidden = !view.problems?.length && !atFields;
  if (box.hidden) return;
  put(box, "h3", "Fix these before you try it");
  const list = put(box, "ul");
  for (const problem of view.problems ?? []) put(list, "li", problem, { dir: "auto" });
  if (!atFields) return;
  const line = put(list, "li", atFields === 1 ? "One field below: " : `${atFields} fields below: `);
  const go = () => document.querySelector("main [aria-invalid=true]")?.focus();
  button(line, "go to the first", go, { class: "link" });
}

function countAtFields(view) {
  const cells = (view.stock ?? []).flatMap((row) => Object.values(row.problems ?? {}));
  const all = [...Object.values(view.fields ?? {}).map((one) => one.problems ?? []), ...cells];
  return all.filter((problems) => problems.length).length;
}
