// The draft: the scenario file as text, what the server understood of it, and the way back.

import { ask, Refused } from "./ask.js";
import { Teller } from "./dom.js";
import { MOST_STEPS, Steps } from "./steps.js";
import * as stored from "./stored.js";
import { tab } from "./tab.js";
import { isImperial } from "./units.js";

const valueOf = (one) => (typeof one === "function" ? one() : one);

/** The units of the sides of a tank in a file. */
const writtenIn = ({ fields }) =>
  ["length", "front_to_back", "height"].some((side) => isImperial(fields?.[`tank.${side}`]?.written)) ? "us" : "metric";

const same = (one, other) => one.text === other.text && one.stock_list?.text === other.stock_list?.text;

/**
 * The scenario file that this page holds. Events:
 *
 * - "view": the file, what was understood or which copy is shown changed; `detail.cause` says how:
 *   "begin", "edit", "show", "undo", "redo", "open";
 * - "units": lengths are shown and typed in another system;
 * - "refused": the server refused or did not answer; `detail` is the Refused;
 * - "answered": the server answered;
 * - "estimated": `detail` is an estimate of the tank that is shown, as /estimate gives it, or null;
 * - "back": the server answers again after it did not;
 * - "unkept": the browser has no room to keep the draft.
 */
export class Draft extends Teller {
  file = null; // {text, name, stock_list}
  view = null;
  which = 0; // 0: the tank as it is; k: its k-th copy
  units = "metric";
  typed = {}; // what was typed and not yet taken into the file, by the name of its place
  begun = { species: [], scenarios: [], fields: {}, limits: {} };
  #steps = new Steps();
  #queue = Promise.resolve();
  #waiting = 0;
  #lost = false;

  constructor(page = tab.name) {
    super();
    this.page = page;
    if (tab.copied) stored.copy(tab.copied, page);
    this.#take(page);
  }

  /** What a field of the file is called on the page: that of "tank.length" is "Length". */
  label(name) {
    return this.begun.fields[name]?.label ?? "";
  }

  get canUndo() {
    return this.#steps.past.length > 0;
  }

  get canRedo() {
    return this.#steps.future.length > 0;
  }

  get busy() {
    return this.#waiting > 0;
  }

  /**
   * Begin: what the server knows, and the file of this page or else the one it was started with. It is told once
   * `parts`, a promise, are there to hear it, however soon the server answers.
   */
  begin(parts) {
    return this.#inTurn(async () => {
      const found = this.file !== null;
      const [{ draft, view, ...begun }] = await Promise.all([ask("/begin", {}), parts]);
      this.begun = begun;
      if (found) await this.#lookAt(this.file, this.which, "begin");
      else this.#become(draft, view, "begin");
      if (!found) this.#speakAsWritten();
    });
  }

  /**
   * Change the file: all of the changes, as /edit takes them, or none; resolves to the view. `said`: what was done, for
   * undo and the screen reader; changes with the same `joined` make one step of undo. Changes and words may be functions:
   * they are asked for once all that was done before is done.
   */
  async edit(changes, said, { joined = null, which = null } = {}) {
    return (await this.#change("/edit", () => ({ ...this.#now(which), changes: valueOf(changes) }), said, joined)).view;
  }

  /** Add or lay over rows of a pasted list; resolves to what was understood, `said`, and the lines that are `left`. */
  paste(list, instead) {
    return this.#change("/paste", () => ({ ...this.#now(), list, instead }), "a list pasted");
  }

  seal() {
    this.#steps.seal();
  }

  /** Show the tank as it is (0) or one of its copies. */
  show(which) {
    return this.#inTurn(() => this.#lookAt(this.file, which, "show"));
  }

  /** Look at the file again as it is: after a time without the server. */
  look() {
    return this.show(this.which);
  }

  /** Open another file, a ready scenario {scenario: NAME} or an empty tank {sides}; the file before stays a step of undo. */
  open(what, said = "another file opened") {
    return this.#change("/open", () => (what.scenario || what.sides ? what : { draft: what }), said);
  }

  undo() {
    return this.#step((now) => this.#steps.back(now), "undo");
  }

  redo() {
    return this.#step((now) => this.#steps.forth(now), "redo");
  }

  setUnits(units) {
    this.units = units;
    this.#keep();
    this.tell("units");
  }

  /** Keep what is being typed at a place; null when it was taken into the file. */
  keepTyped(place, text) {
    if (text === null) delete this.typed[place];
    else this.typed[place] = text;
    if (!stored.keep(this.page, "typed", this.typed)) this.tell("unkept");
  }

  /** Take over the draft of an earlier page, its steps and what was half typed. */
  goOnWith(page, { isOpen = false } = {}) {
    stored.copy(page, this.page);
    if (!isOpen) stored.forget(page);
    this.#take(this.page);
    return this.look();
  }

  #take(page) {
    const kept = stored.found(page, "file");
    if (!kept?.file?.text) return;
    this.file = kept.file;
    this.which = kept.which ?? 0;
    this.units = kept.units === "us" ? "us" : "metric";
    this.#steps = new Steps(stored.found(page, "past") ?? {});
    this.typed = stored.found(page, "typed") ?? {};
    if (same(this.#steps.past.at(-1)?.file ?? {}, this.file)) this.#steps.past.pop(); // broken off while keeping
  }

  #now(which = null) {
    return { draft: this.file, which: which ?? this.which };
  }

  /** Ask for another file, `wanted` in its turn; what was there before is a step of undo. */
  #change(path, wanted, said, joined = null) {
    return this.#inTurn(async () => {
      const { file, which } = this;
      const asked = wanted();
      const answer = await ask(path, asked);
      if (file && !same(file, answer.draft)) this.#steps.note({ file, which, said: valueOf(said), joined: valueOf(joined) });
      if (path === "/open") {
        this.which = 0;
        this.typed = {};
        stored.keep(this.page, "typed", this.typed);
      }
      this.#become(answer.draft, answer.view, path === "/open" ? "open" : "edit");
      if (path === "/open" || asked.changes?.some((one) => one.do === "text")) this.#speakAsWritten();
      return answer;
    });
  }

  /** A file whose sides are in inches is shown in inches, and one in centimetres in those. */
  #speakAsWritten(before = null) {
    const units = writtenIn(this.view);
    if (units !== before && units !== this.units) this.setUnits(units);
  }

  async #lookAt(file, which, cause) {
    const { view } = await ask("/look", { draft: file, which });
    this.which = which;
    this.#become(file, view, cause);
  }

  #step(take, cause) {
    return this.#inTurn(async () => {
      const step = take({ file: this.file, which: this.which });
      if (!step) return null;
      const before = writtenIn(this.view);
      this.#steps.seal();
      this.file = step.file;
      this.which = step.which;
      this.#keep();
      await this.#lookAt(step.file, step.which, cause);
      this.#speakAsWritten(before); // back across an opened file
      return step.said;
    });
  }

  #become(file, view, cause) {
    this.file = file;
    this.view = view;
    if (Number.isInteger(view.which)) this.which = view.which;
    this.#keep();
    this.tell("view", { cause });
  }

  /** Keep all of it; false when the browser has no room, or keeps nothing. */
  keepAll() {
    const { file, which, units, page } = this;
    if (!file) return true;
    const kept = { file, which, units, title: this.view?.title ?? "", when: Date.now() };
    if (!stored.keep(page, "file", kept)) {
      stored.forget(page, ["past"]); // the file matters more than the way back
      if (!stored.keep(page, "file", kept)) return false;
    }
    return this.#stepsKept() && stored.keep(page, "typed", this.typed);
  }

  #stepsKept() {
    for (let most = MOST_STEPS; most >= 1; most = Math.floor(most / 2)) {
      if (stored.keep(this.page, "past", this.#steps.latest(most))) return true;
    }
    return false;
  }

  #keep() {
    if (!this.keepAll()) this.tell("unkept");
  }

  /** One after the other, in the order asked for; a refusal does not stop what comes after it. */
  #inTurn(work) {
    this.#waiting += 1;
    const turn = this.#queue.then(work).then(
      (value) => this.#ended(null, value),
      (fault) => this.#ended(fault),
    );
    this.#queue = turn.catch(() => {});
    return turn;
  }

  #ended(fault, value) {
    this.#waiting -= 1;
    if (fault instanceof Refused) this.tell("refused", fault);
    const reached =
      !fault || (fault instanceof Refused && !fault.unreached && !fault.unknown && this.view !== null);
    if (reached) this.tell("answered");
    const back = reached && this.#lost;
    this.#lost = !reached;
    if (back) this.tell("back");
    if (fault) throw fault;
    return value;
  }
}
