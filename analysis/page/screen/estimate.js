// An estimate while one builds: hollow, with its band, until simulated tanks take its place.

import { ask, refusal } from "./ask.js";
import { axis, percent, Scale, draw } from "./charts.js";
import { clear, fillText, keepTexts, on, put } from "./dom.js";
import { isOpen } from "./sheets.js";

const REST_MS = 20; // after a change
const FIRST_MS = 1500; // before the tank is alive, which comes first
const AGAIN_MS = 3000; // while the server still learns
const KEPT = new Scale(0, 1, 0.25, percent);

export class Estimate {
  #timer = 0;
  #asked = 0;
  #was = null; // the file that this one is a change of
  #file = null;

  constructor(parent, draft) {
    Object.assign(this, { draft, hasAnswer: false });
    this.box = put(parent, "section", null, { class: "estimate", "aria-label": "Estimate", hidden: true });
    this.word = put(this.box, "p", "", { class: "verdict" });
    this.drawing = put(this.box, "div", null, { class: "hollow" });
    this.said = put(this.box, "div");
    this.why = put(parent, "p", "", { class: "soft", hidden: true });
    on(draft, "view", () => this.#follow());
    on(document, "visibilitychange", () => this.#follow());
    on(document, "sheet", ({ detail }) => detail === "amounts" && this.#follow());
  }

  /** Whether simulated tanks have answered for the very tank that is shown. */
  settle(hasAnswer) {
    this.hasAnswer = hasAnswer;
    if (hasAnswer) this.#was = this.draft.file;
    this.#show();
  }

  #follow() {
    const { draft } = this;
    if (this.#file && this.#file.text !== draft.file.text) this.#was ??= this.#file;
    this.#file = draft.file;
    clearTimeout(this.#timer);
    if (!draft.begun.estimates || !draft.view?.good || document.hidden) return this.#take(null);
    this.#timer = setTimeout(() => this.#ask(), document.documentElement.dataset.living ? REST_MS : FIRST_MS);
    return null;
  }

  async #ask() {
    this.#asked += 1;
    const mine = this.#asked;
    const { file, which } = this.draft;
    const amounts = isOpen("amounts");
    let told = null;
    await refusal(async () => (told = await ask("/estimate", { draft: file, which, was: this.#was, amounts })));
    if (mine !== this.#asked) return;
    this.#take(told);
    if (told && told.tanks < told.most && (amounts || !this.hasAnswer)) this.#timer = setTimeout(() => this.#ask(), AGAIN_MS);
  }

  #take(told) {
    this.told = told;
    this.draft.tell("estimated", told);
    this.#show();
  }

  #show() {
    const { estimate, why } = this.told ?? {};
    this.box.hidden = !estimate || this.hasAnswer;
    this.why.hidden = Boolean(estimate) || !why || this.hasAnswer;
    fillText(this.why, why ?? "");
    if (this.box.hidden) return;
    const { word, kept, low, high, said } = estimate;
    fillText(this.word, `Estimate: ${word}`);
    keepTexts(this.said, said.slice(0, 3));
    clear(this.drawing);
    axis(this.drawing, KEPT, "Kept of the swimming about that the worst off would do if left alone");
    const shown = draw(this.drawing, "svg", { width: "100%", height: 22, "aria-hidden": "true", focusable: "false" });
    draw(shown, "rect", { x: KEPT.percent(low), width: `${100 * (KEPT.share(high) - KEPT.share(low))}%`, y: 5, height: 12, class: "band" });
    draw(shown, "circle", { cx: KEPT.percent(kept), cy: 11, r: 6, class: "kept" });
  }
}
