// The controls of one kind of work: start, stop, how far it is, what went wrong, whose answer it is.

import { button, buttonRow, clear, details, keepTexts, newId, on, problemBox, put, say, set, showPieces, showProblems } from "./dom.js";
import { refusal } from "./ask.js";
import { markOf, startJob, takeUp } from "./job.js";
import { showCautions } from "./told.js";

const ENDED = { done: "Done", failed: "Could not continue" };

/**
 * Controls of one kind of work and a place for its answer, at the end of a parent; a subclass says the rest.
 *
 * kind, action: "try", "Try it"; name: what it is called in messages, "The try"; deep: where its figures go; isWhich: whether the answer is of one
 * tank, so that showing another makes it an answer of another tank.
 */
export class Runner {
  state = null;
  #job = null;
  #spoken = "";
  #shown = null;

  constructor(parent, draft, options) {
    Object.assign(this, { draft, ...options });
    const box = put(parent, "div", null, { class: "runner" });
    const line = buttonRow(box);
    this.start = button(line, this.action, () => this.run(), { class: "main" });
    this.halt = button(line, "Stop", () => this.stop(), { hidden: true });
    const label = newId("far");
    this.far = put(box, "div", null, { class: "far", hidden: true });
    this.said = put(this.far, "p", "", { id: label });
    this.bar = put(this.far, "progress", null, { "aria-labelledby": label });
    this.problems = problemBox(box);
    this.other = button(box, "Stop that and start this", () => this.#instead(), { hidden: true });
    this.outdated = put(box, "p", null, { class: "older", hidden: true });
    this.answer = put(parent, "div", null, { class: "answer", hidden: true });
    this.headline = put(this.answer, "div", null, { class: "headline" });
    this.controls = box;
    on(draft, "view", () => this.#compareText());
    queueMicrotask(() => this.#takeUp()); // once the subclass is made
  }

  /** What /start is to get besides the kind, and what comes back when work is found again. */
  what() {
    return {};
  }

  takenUp() {}

  /** The few lines on top of the answer. */
  tell(lines) {
    keepTexts(this.headline, lines);
  }

  /** Told whose answer it is, "" when it is of what the page shows. */
  older() {}

  get isRunning() {
    return this.state?.state === "running";
  }

  get result() {
    return this.state?.result ?? null;
  }

  async run() {
    if (this.isRunning || this.isStarting) return;
    this.isStarting = true;
    this.#refuse([]);
    set(this.start, "aria-disabled", "true");
    const fault = await refusal(async () => {
      const what = { kind: this.kind, ...this.what() };
      this.#shown = null;
      this.#spoken = "";
      this.#job = await startJob(this.draft, what, (state) => this.#take(state));
      say(`${this.name} has started.`);
    }).finally(() => {
      this.isStarting = false;
      set(this.start, "aria-disabled", this.isRunning ? "true" : null);
    });
    if (fault) this.#refuse(fault.problems, fault.stopOther);
  }

  async stop() {
    this.said.textContent = "Stopping.";
    const fault = await refusal(() => this.#job?.stop());
    if (fault) this.#refuse(fault.problems);
  }

  #takeUp() {
    const found = takeUp(this.kind, (state) => this.#take(state));
    if (!found) return;
    this.#job = found;
    this.takenUp(found.what);
  }

  async #instead() {
    const { stopOther } = this;
    this.#refuse([]);
    const fault = await refusal(stopOther);
    if (fault) return this.#refuse(fault.problems);
    this.start.focus();
    return this.run();
  }

  #refuse(problems, stopOther = null) {
    showProblems(this.problems, problems);
    this.stopOther = stopOther;
    this.other.hidden = !stopOther;
    if (problems.length) say(`${this.name} did not start: ${problems.join(" ")}`);
  }

  #take(state) {
    if (this.#job && state.id !== this.#job.id && !this.isStarting) return;
    const wasStopped = document.activeElement === this.halt;
    this.state = state;
    this.far.hidden = false;
    this.halt.hidden = !this.isRunning;
    if (this.halt.hidden && wasStopped) this.start.focus(); // the focus must not fall off the page
    set(this.start, "aria-disabled", this.isRunning ? "true" : null);
    this.#tellFar();
    if (state.problems?.length) showProblems(this.problems, state.problems);
    if (state.result && state.result !== this.#shown) this.#showAnswer(state);
    this.#shown = state.result;
    this.#compareText();
    this.#announce();
  }

  #showAnswer({ result, id, of }) {
    Object.assign(this, { job: id, of });
    this.answer.hidden = false;
    this.tell(result.headline ?? []);
    this.show(result, this.state);
    this.figures ??= detailsBox(this.deep ?? this.answer, "All figures", (inside, pieces) => showPieces(inside, pieces, 4));
    this.figures(result.pieces);
  }

  #tellFar() {
    const { state, done, asked, told, lost } = this.state;
    const counted = asked ? `${done} of ${asked} simulated tanks` : "";
    const now = state === "running" || state === "stopped" ? told : ""; // else it was told of a step that is over
    const head = [ENDED[state], counted].filter(Boolean).join(": ");
    this.said.textContent = lost ? told : [head, now].filter(Boolean).join(". ");
    this.bar.hidden = !this.isRunning;
    set(this.bar, "max", asked || null);
    if (asked) this.bar.value = done;
    else this.bar.removeAttribute("value");
  }

  /** Whose answer it is, when it is no longer that of what the page shows. */
  #compareText() {
    const { of, result } = this.state ?? {};
    const isOther = this.isWhich && of && of.which !== this.draft.which;
    const isOld = of && markOf(of.file) !== markOf(this.draft.file);
    this.outdated.hidden = !result || !(isOld || isOther);
    const whose = isOther ? `"${of.name}", not the tank that is shown now` : "the tank before your last changes";
    this.outdated.textContent = this.outdated.hidden ? "" : `This answer is for ${whose}. For this one, start again.`;
    this.older(this.outdated.textContent);
  }

  /** At the first numbers and at the end, not at every step. */
  #announce() {
    const now = this.isRunning ? (this.result ? "first" : "") : this.state.state;
    if (!now || now === this.#spoken) return;
    this.#spoken = now;
    const brief = this.result?.headline?.[0] ?? "";
    if (now === "first") say(`First numbers. ${brief}`);
    else say(`${this.name}: ${[this.said.textContent, ...(this.state.problems ?? []), brief].filter(Boolean).join(". ")}`);
  }
}

/** The cautions of some kinds that apply to the tank, beside an answer that may lead to doing something. */
export function cautionsAt(parent, draft, kinds) {
  const box = put(parent, "div");
  const show = () => {
    clear(box);
    showCautions(box, (draft.view?.cautions ?? []).filter((one) => kinds.includes(one.about)));
  };
  on(draft, "view", show);
  show();
}

/** Keep a box of details of an answer, made anew at each result but as open as it was. */
export function detailsBox(parent, title, fill) {
  const box = details(parent, title, { class: "figures", hidden: true });
  const inside = put(box, "div");
  let told = null;
  const make = () => {
    if (!box.open || told === null) return;
    clear(inside);
    fill(inside, told);
  };
  on(box, "toggle", make);
  return (next) => {
    told = next;
    box.hidden = false;
    make();
  };
}
