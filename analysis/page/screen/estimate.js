// A provisional verdict while the tank is changed, drawn hollow: what tanks with the same species foretell of it.

import { ask } from "./ask.js";
import { keepTexts, on, put } from "./dom.js";

const CALM_MS = 120; // a hand that still moves is not asked after
const AGAIN_MS = 4000; // until it is asked again, while more tanks are run
const CHANGED = ["edit", "undo", "redo"];

export class Estimate {
  #was = null; // the file that it is a change of: as opened, or as run last
  #ran = null;
  #asked = null;
  #timer = 0;

  constructor(box, draft) {
    Object.assign(this, { box, draft });
    this.lines = put(box, "div", null, { "aria-live": "polite" });
    on(draft, "view", ({ detail }) => {
      if (!CHANGED.includes(detail.cause)) this.#was ??= draft.file;
      if (detail.cause === "open") this.#was = draft.file;
      if (CHANGED.includes(detail.cause) || this.#timer) this.#soon(CALM_MS);
    });
  }

  /** Runs of a file have come: they stand in its place, and later changes are held against it. */
  ran(of) {
    this.#was = this.#ran = of.file;
    if (this.#isRun) this.#show(null);
  }

  get #isRun() {
    return this.#ran?.text === this.draft.file?.text;
  }

  #soon(ms) {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(), ms);
  }

  async #ask() {
    const { draft } = this;
    this.#asked?.abort();
    if (document.hidden) return this.#soon(AGAIN_MS);
    if (this.#isRun || !draft.view?.good || draft.view.empty) return this.#show(null);
    this.#asked = new AbortController();
    const body = { draft: draft.file, which: draft.which, was: this.#was };
    const told = await ask("/estimate", body, { signal: this.#asked.signal }).catch(() => null);
    if (draft.file !== body.draft || !told) return told ? null : this.#show(null);
    this.#show(told);
    return told.tanks < told.most ? this.#soon(AGAIN_MS) : null;
  }

  #show(told) {
    const said = told?.estimate?.said ?? (told?.why ? [told.why] : []);
    keepTexts(this.lines, said);
    this.box.hidden = !said.length;
  }
}
