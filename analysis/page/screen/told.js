// What was understood of a part, what the model cannot judge there, and the cautions: beside what they concern.

import { button, clear, details, on, paragraphs, put, showUnderstood } from "./dom.js";
import { open } from "./sheets.js";

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

/** What must be put right before the tank can be tried, each with the way to its field. */
export function showAllProblems(box, view) {
  clear(box);
  const atFields = [...document.querySelectorAll(".sheet [aria-invalid=true]")];
  box.hidden = !view.problems?.length && !atFields.length;
  if (box.hidden) return;
  put(box, "h3", "Put right first");
  const list = put(box, "ul");
  for (const problem of view.problems ?? []) put(list, "li", problem.replace(/^line \d+, /, ""), { dir: "auto" });
  for (const field of atFields) {
    const label = document.querySelector(`label[for="${field.id}"]`)?.textContent ?? "a field";
    const row = field.closest("fieldset")?.querySelector("legend")?.textContent ?? "";
    button(put(list, "li"), [row, label].filter(Boolean).join(": "), () => goTo(field), { class: "link" });
  }
}

/** Open what a field stands in, and put the focus on it. */
export function goTo(field) {
  for (let box = field.parentElement?.closest("details"); box; box = box.parentElement?.closest("details")) box.open = true;
  open(field.closest("dialog").id, field);
}
