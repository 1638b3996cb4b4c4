// What if: the copies held against the tank as it is.

import { axis, interval, intervalKey, points, scaleAround } from "./charts.js";
import { button, buttonRow, clear, keepInStep, on, put } from "./dom.js";
import { showFilm } from "./film.js";
import { Runner } from "./runner.js";
import { opener } from "./sheets.js";

const ROLES = { worst: "The worst-off fish of each tank", chosen: "", mild: "", others: "" };
const SHARES = ["lost", "hidden", "pinned"]; // goals that are shares

export const mount = (parent, draft) => new Compare(parent, draft);

class Compare extends Runner {
  constructor(parent, draft) {
    const told = "Change a copy of the tank; both are tried with the same fish and the same luck, so what differs is the change.";
    put(parent, "p", told, { class: "soft" });
    const copies = put(parent, "div", null, { class: "copies" });
    const none = put(parent, "p", "There is no copy yet.", { class: "soft" });
    opener(buttonRow(parent), "Change a copy", "copies");
    super(parent, draft, { kind: "compare", action: "Compare", name: "The comparison" });
    Object.assign(this, { copies, none });
    intervalKey(this.answer, "stroke: mean difference, copy less tank");
    this.against = put(this.answer, "div");
    on(draft, "view", () => this.#list());
    this.controls.hidden = true;
    if (draft.view) this.#list();
  }

  #list() {
    const copies = this.draft.view.copies ?? [];
    this.none.hidden = copies.length > 0;
    this.controls.hidden = !copies.length && !this.state;
    clear(this.copies);
    if (!copies.length) return;
    const list = put(this.copies, "ul");
    for (const { name, changes } of copies) {
      const item = put(list, "li");
      put(item, "bdi", name, { class: "name" });
      put(item, "span", `: ${changes.length ? changes.join("; ") : "nothing changed yet"}`, { dir: "auto" });
    }
  }

  show(result, state) {
    const told = result.against.map((one, k) => ({ ...one, numbers: result.json?.against?.[k] }));
    const scale = scaleOf(told);
    // the boxes stay from result to result, so that the focus and what is open stay too
    keepInStep(this.against, told, () => this.#makeAgainst(), (box, one, k) => {
      fillAgainst(box, one, scale);
      box.watch = () => this.#watch(k + 1, one.name, result, state);
    });
  }

  #makeAgainst() {
    const box = put(null, "section", null, { class: "against" });
    box.name = put(box, "h4", "", { dir: "auto" });
    box.changes = put(box, "p", "", { class: "soft", dir: "auto" });
    box.sentence = put(box, "p", "", { dir: "auto", class: "sentence" });
    box.drawings = put(box, "div");
    button(buttonRow(box), "Watch it next to the tank as it is", () => box.watch());
    return box;
  }

  #watch(which, name, { telling }, { of }) {
    const trial = telling?.middle ?? null;
    return showFilm(this.draft, { which: 0, beside: which, trial, file: of.file, title: `the tank as it is, and ${name}` });
  }
}

/** One scale for all copies, so that their drawings can be held against one another. */
function scaleOf(told) {
  const ends = told.flatMap(({ numbers }) =>
    drawn(numbers).flatMap((group) =>
      SHARES.flatMap((goal) => {
        const { difference, guess_low: least, guess_high: most } = group.figures[goal] ?? {};
        return [difference?.low, difference?.high, least, most].filter(Number.isFinite);
      }),
    ),
  );
  return scaleAround(ends.map((end) => Math.max(-1, Math.min(1, end))), points, { most: 5, atLeast: 0.2 });
}

/** The groups that are drawn: the worst-off fish of each tank, and those that all is held by. */
function drawn(numbers) {
  return (numbers?.groups ?? []).filter((one) => one.role === "worst" || one.role === "chosen");
}

function fillAgainst(box, one, scale) {
  box.name.textContent = one.name;
  box.changes.textContent = one.changes.join("; ");
  box.sentence.textContent = one.sentence;
  clear(box.drawings);
  for (const group of drawn(one.numbers)) drawGroup(box.drawings, group, scale, one.figures ?? []);
  box.drawings.hidden = !box.drawings.children.length;
}

function drawGroup(box, group, scale, figures) {
  const part = put(box, "div", null, { class: "group figured" });
  put(part, "h5", ROLES[group.role] || group.name, { dir: "auto" });
  axis(part, scale, "Difference in %: left of 0 better, right worse");
  const list = put(part, "ul", null, { class: "differences" });
  for (const [goal, found] of Object.entries(group.figures)) {
    const words = figures.find((one) => one.goal === goal && one.role === group.role);
    if (words && found.difference.trials) drawFigure(list, found, words, SHARES.includes(goal) ? scale : null);
  }
}

/** One goal: its difference drawn, where it is one of shares, and in words. */
function drawFigure(list, found, { label, before, after, difference, interval: span, better }, scale) {
  const item = put(list, "li", null, { class: "lined" });
  put(item, "p", label, { class: "name" });
  if (scale) {
    const ends = { ...found.difference, guess_low: found.guess_low, guess_high: found.guess_high };
    interval(put(item, "div", null, { class: "drawing" }), ends, scale, "difference");
  }
  const way = found.told ? (found.difference.value < 0 ? "that is better" : "that is worse") : "too close to call";
  const told = [`${before} to ${after}`, `${difference} (95 %: ${span})`, `better in ${better} tanks`, way];
  put(item, "p", told.join("; "), { class: "figure" });
}
