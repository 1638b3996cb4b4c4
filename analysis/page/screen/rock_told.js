// What the rock comes to, in the server's words: shelters, who fits into them, litres, kilograms, cautions.

import { clear, put, showPieces, showProblems, showTexts } from "./dom.js";

const LATE = "The pictures show the rock as it last could be drawn. Put right what is listed, and they follow.";
const NEVER = "The rock is drawn here once what is listed at the top is put right.";

export class Told {
  constructor(parent, state) {
    this.state = state;
    this.problems = put(parent, "div", null, { hidden: true });
    this.late = put(parent, "p", LATE, { class: "soft", hidden: true });
    this.shelters = put(parent, "div", null, { class: "rock-told" });
    this.admits = put(parent, "details", null, { class: "rock-told" });
    this.weight = put(parent, "div", null, { class: "rock-told rock-weight" });
    this.cautions = put(parent, "div");
    state.addEventListener("answer", () => this.show());
    state.draft.addEventListener("view", () => this.#showCautions());
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
    showSentences(this.shelters, answer.shown);
    clear(this.admits);
    this.admits.hidden = !answer.admits.length;
    put(this.admits, "summary", "Who fits into which crevices");
    showSentences(this.admits, answer.admits);
    clear(this.weight);
    showPieces(this.weight, answer.weight.pieces, 3);
    this.#showSources(answer.weight.sources);
    this.#showCautions();
  }

  #showSources(sources) {
    if (!sources.length) return;
    const more = put(this.weight, "details");
    put(more, "summary", "What these weights rest on");
    for (const source of sources) put(more, "p", source, { class: "soft", dir: "auto" });
  }

  /** Those of laying rock that the page does not show anyway. */
  #showCautions() {
    const said = new Set((this.state.draft.view?.cautions ?? []).map((one) => one.text));
    const own = (this.state.answer?.cautions ?? []).filter((one) => !said.has(one.text));
    const isRock = Boolean(this.state.answer?.weight.pieces.length);
    clear(this.cautions);
    if (isRock) for (const { text } of own) put(this.cautions, "p", text, { class: "caution", dir: "auto" });
  }
}

const isOfRock = (problem) => /\brock\b/.test(problem.split(": found")[0]);

function showSentences(parent, sentences) {
  const list = put(parent, "ul", null, { class: "understood" });
  showTexts(list, sentences);
}
