// What the rock comes to, in the server's words: shelters, who fits into them, litres, kilograms, cautions.

import { clear, details, on, paragraphs, problemBox, put, showPieces, showProblems, showUnderstood } from "./dom.js";
import { showCautions } from "./told.js";

const LATE = "The pictures show the rock as it could last be drawn. Fix what is listed, and they follow.";
const NEVER = "The rock is drawn here once you fix what is listed at the top.";

export class Told {
  constructor(parent, state) {
    this.state = state;
    this.problems = problemBox(parent);
    this.late = put(parent, "p", LATE, { class: "soft", hidden: true });
    this.shelters = put(parent, "div", null, { class: "rock-told" });
    this.admits = details(parent, "Who fits into which crevices", { class: "rock-told" });
    this.fits = put(this.admits, "div");
    this.weight = put(parent, "div", null, { class: "rock-told rock-weight" });
    this.cautions = put(parent, "div");
    on(state, "answer", () => this.show());
    on(state.draft, "view", () => this.#showCautions());
  }

  show() {
    const { answer, problems, refused, isLate } = this.state;
    showProblems(this.problems, [...refused, ...problems.filter(isOfRock)]);
    this.late.hidden = !isLate && (answer !== null || !problems.length);
    this.late.textContent = answer ? LATE : NEVER;
    if (!answer || answer === this.shown) return;
    this.shown = answer;
    clear(this.shelters);
    put(this.shelters, "h3", "Shelters and water");
    showUnderstood(this.shelters, answer.shown);
    clear(this.fits);
    this.admits.hidden = !answer.admits.length;
    showUnderstood(this.fits, answer.admits);
    clear(this.weight);
    const { pieces, sources } = answer.weight;
    showPieces(this.weight, pieces);
    if (sources.length) paragraphs(details(this.weight, "Where these weights come from"), sources, { class: "soft" });
    this.#showCautions();
  }

  /** Those of laying rock that the page does not show anyway. */
  #showCautions() {
    const said = new Set((this.state.draft.view?.cautions ?? []).map((one) => one.text));
    const own = (this.state.answer?.cautions ?? []).filter((one) => !said.has(one.text));
    clear(this.cautions);
    if (this.state.answer?.weight.pieces.length) showCautions(this.cautions, own);
  }
}

const isOfRock = (problem) => /\brock\b/.test(problem.split(": found")[0]);
