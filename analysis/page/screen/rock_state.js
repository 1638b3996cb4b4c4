// The rock that is looked at: its grid here and now, what the server last said of it, and how both are kept in step.

import { ask, refusal } from "./ask.js";
import { on, Teller } from "./dom.js";
import { blank, fromRows, isWhole, toRows } from "./rock_grid.js";

const PAUSE_MS = 120; // between two questions while something is being moved
const REST_MS = 1000; // after which a change by keys is a step of undo of its own
const SLOW_MS = 500; // lines of sight that take longer wait until what is being moved is put down
const TOO_MANY = 429;
const GONE = 0; // the question or its answer was lost

/**
 * Events:
 *
 * - "grid": the heights, the cursor or the heap changed, here and now;
 * - "answer": the server said what the rock is like (`answer`), or why it cannot (`problems`).
 */
export class RockState extends Teller {
  heights = blank(3, 6);
  step = 5; // cm, height of a digit
  highest = 9; // digit that stays within the tank
  answer = null;
  problems = []; // why there is no picture of the file as it is
  refused = []; // why a change was not taken
  isLate = false; // the last answer is of an earlier state of the file
  trial = 0; // which simulated tank is shown
  place = null; // where a fish looks from, cm
  held = false; // the grid is being changed right now: nothing may lay itself over it
  #changed = false; // the grid says what the file does not say yet
  #sending = 0;
  #wanted = 0;
  #known = 0;
  #isAsking = false;
  #timer = 0;
  #series = 0;
  #last = 0;
  #waiting = null; // a change by keys that is not sent yet
  #which = null;
  #isSlow = false;

  constructor(draft) {
    super();
    this.draft = draft;
    on(draft, "view", () => this.#follow());
    on(window, "pagehide", () => this.flush());
    if (draft.view) this.#follow();
  }

  get rock() {
    return this.draft.view?.rock ?? { kind: "none", objects: [] };
  }

  /** Whether the heights are known, and can be changed. */
  get isOpen() {
    return this.answer !== null;
  }

  /** Length, front to back, height and water level, cm. */
  get size() {
    return this.answer?.size ?? null;
  }

  get rows() {
    return this.heights.length;
  }

  get columns() {
    return this.heights[0].length;
  }

  /** Length and depth of a place of the grid, cm. */
  get spot() {
    return [this.size[0] / this.columns, this.size[1] / this.rows];
  }

  /** Show other heights at once; the file is changed by `commit`. */
  lay(heights, step = this.step) {
    this.heights = heights;
    this.step = step;
    this.#changed = true;
    this.tell("grid");
    this.want();
  }

  /** Write the heights into the file. Changes of one series within a rest are one step of undo. */
  async commit(said, { isSeries = false } = {}) {
    clearTimeout(this.#timer);
    this.#waiting = null;
    if (!this.#changed) return;
    const now = performance.now();
    if (!isSeries || now - this.#last > REST_MS) this.#series += 1;
    this.#last = now;
    const joined = isSeries ? `rock ${this.#series}` : null;
    await this.edit([this.change()], said, { joined });
  }

  /** The same a moment later: keys come fast. */
  commitSoon(said) {
    clearTimeout(this.#timer);
    this.#waiting = said;
    this.#timer = setTimeout(() => this.commit(said, { isSeries: true }), 2 * PAUSE_MS);
  }

  flush() {
    if (this.#waiting !== null) this.commit(this.#waiting, { isSeries: true });
  }

  /** Leave what was being changed as the file says it. */
  letGo() {
    this.held = false;
    this.#follow();
  }

  /** Change the file; a refusal is shown as the problems of the rock, and the file's own rock again. */
  async edit(changes, said, how = {}) {
    this.#sending += 1;
    this.refused = [];
    const work = () => this.draft.edit(changes, said, { which: this.draft.which, ...how });
    const fault = await refusal(work).finally(() => (this.#sending -= 1));
    this.refused = fault?.problems ?? [];
    if (fault) this.tell("answer");
    if (this.#changed) this.#follow();
  }

  /** The change that makes the file say these heights. */
  change() {
    const isNew = this.rock.kind !== "sketch" || Math.abs(this.step - this.rock.step_cm) > 1e-9;
    return { do: "sketch", rows: toRows(this.heights), step: isNew ? this.step : null };
  }

  look(place) {
    this.place = place;
    this.tell("grid");
    this.want();
  }

  turnTo(trial) {
    this.trial = trial;
    this.want();
  }

  /** Ask for an answer to what is shown now; one question at a time, the latest state always gets its answer. */
  want() {
    this.#wanted += 1;
    if (!this.#isAsking) this.#askOn();
  }

  async #askOn() {
    this.#isAsking = true;
    try {
      while (this.#known < this.#wanted && this.draft.file) {
        const begun = performance.now();
        await this.#askOnce(this.#wanted);
        const rest = PAUSE_MS - (performance.now() - begun);
        if (rest > 0 && this.#known < this.#wanted) await new Promise((go) => setTimeout(go, rest));
      }
    } finally {
      this.#isAsking = false;
    }
  }

  async #askOnce(asked) {
    const { file, which } = this.draft;
    const changes = this.#changed ? [this.change()] : [];
    const place = this.held && this.#isSlow ? null : this.place;
    const begun = performance.now();
    const fault = await refusal(async () => {
      const answer = await ask("/rock", { draft: file, which, place, trial: this.trial, changes });
      if (place && changes.length) this.#isSlow = performance.now() - begun > SLOW_MS;
      if (which === this.draft.which) this.#take(answer, asked === this.#wanted);
    });
    if ([TOO_MANY, GONE].includes(fault?.status)) return void (await new Promise((go) => setTimeout(go, REST_MS)));
    this.#known = asked;
    if (!fault) return;
    if (this.trial > 0 && /^trial:/.test(fault.problems[0] ?? "")) return this.turnTo(0);
    this.isLate = this.answer !== null;
    this.problems = fault.problems;
    this.tell("answer");
  }

  /** An answer to what has changed since shows its pictures until the next, but lays no heights over newer ones. */
  #take(answer, isLatest) {
    this.answer = answer;
    this.problems = [];
    this.isLate = false;
    this.highest = answer.grid.highest;
    if (isLatest && !this.#changed && !this.held) {
      this.heights = fromRows(answer.grid.digits);
      this.step = answer.grid.step_cm;
    }
    this.tell("answer");
  }

  get #isBusy() {
    return this.held || this.#sending > 0 || this.#waiting !== null;
  }

  /** The file changed: by what was drawn here, or by anything else on the page. */
  #follow() {
    const { which } = this.draft;
    if (which !== this.#which) {
      this.#which = which;
      this.trial = 0;
      this.#changed = false;
    }
    if (!this.#isBusy) this.#changed = false;
    const { sketch, step_cm: step } = this.rock;
    if (isWhole(sketch ?? []) && !this.#changed && !this.held) {
      this.heights = fromRows(sketch);
      this.step = step;
    }
    this.tell("grid");
    this.want();
  }
}
