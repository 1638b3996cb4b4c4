// One thing to type, tick or choose: its label, its problems beside it, and what happens while one types.

import { Refused } from "./ask.js";
import { button, newId, put, say, set, showProblems } from "./dom.js";

const WHILE_TYPING_MS = 250;

// Fields whose text did not reach the server, by draft: sent as soon as it answers.
const unsent = new WeakMap();

function waitingFields(draft) {
  if (!unsent.has(draft)) {
    const waiting = new Set();
    unsent.set(draft, waiting);
    draft.addEventListener("back", () => {
      const those = [...waiting];
      waiting.clear();
      those.forEach((field) => field.send());
    });
  }
  return unsent.get(draft);
}

/**
 * A line (or area) of text. It is sent a moment after the last letter, and when it is left.
 *
 * What is typed is kept at once under `place`, so that a reload finds it; an answer never lays over
 * what is being typed.
 */
export class TextField {
  /**
   * @param {HTMLElement} parent
   * @param {Draft} draft
   * @param {object} how
   * @param {string} how.place name under which half a text is kept: "tank.length"
   * @param {string} how.label
   * @param {(typed: string, which: number, joined: string) => Promise} [how.write] sends what was typed; without
   *   it the text is only kept, until somebody takes it by `text` and `empty`
   * @param {(typed: string) => boolean} [how.whole] whether the text is worth sending before it is left
   * @param {string} [how.area] "textarea" for several lines
   * @param {object} [how.props] attributes of the control
   */
  constructor(
    parent,
    draft,
    { place, label, write, whole = () => true, area = "input", props = {}, quiet = false },
  ) {
    Object.assign(this, { draft, place, write, whole });
    const id = newId("field");
    this.box = put(parent, "div", null, { class: "field" });
    this.label = put(this.box, "label", label, { for: id, class: quiet ? "quiet" : null });
    this.input = put(this.box, area, null, {
      id,
      autocomplete: "off",
      spellcheck: "false",
      placeholder: " ",
      ...props,
    });
    this.note = put(this.box, "div", null, { class: "note", id: `${id}-note`, hidden: true });
    this.problems = put(this.box, "div", null, { id: `${id}-problems`, hidden: true });
    this.touched = false; // something was typed here that the file may not say yet
    this.at = 0; // the tank or copy it was typed for
    this.latest = ""; // what the file says
    this.sent = null; // what was sent last, since the text was last that of the file
    this.refused = [];
    this.input.addEventListener("input", () => this.#typed());
    this.input.addEventListener("change", () => this.#left());
    this.input.editing = () => this.touched;
    if (!write) draft.addEventListener("view", () => this.#findKept());
  }

  get text() {
    return this.input.value;
  }

  /** Forget what was typed in a field that is only kept. */
  empty() {
    this.input.value = "";
    this.touched = false;
    this.draft.keepTyped(this.#keyOf(this.draft.which), null);
  }

  #findKept() {
    if (document.activeElement !== this.input)
      this.input.value = this.draft.typed[this.#keyOf(this.draft.which)] ?? "";
  }

  /** Show what the file says, unless something is being typed here. */
  show(text, problems = []) {
    this.latest = text;
    const half = this.draft.typed[this.#keyOf(this.draft.which)];
    const typing = this.touched && this.at === this.draft.which && document.activeElement === this.input;
    if (half !== undefined && !this.touched) this.#goOn(half);
    else if (!typing && half === undefined) this.#settle();
    this.#showProblems(problems);
  }

  /** Send what stands here; resolves when the server has taken or refused it. */
  async send() {
    clearTimeout(this.later);
    if (!this.write) return null;
    const text = this.input.value;
    const key = this.#keyOf(this.at);
    if (this.sent === null && text === this.latest && this.at === this.draft.which) return this.#done(key);
    if (text !== this.sent) {
      this.sent = text;
      this.sending = this.#write(text, key);
    }
    if ((await this.sending) && this.input.value === text) this.#done(key);
    return null;
  }

  /** Whether the server took it. */
  async #write(text, key) {
    try {
      await this.write(text, this.at, key);
      return true;
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      if (this.sent === text) this.sent = null;
      if (fault.unreached) waitingFields(this.draft).add(this);
      else this.#showProblems([], fault.problems);
      return false;
    }
  }

  #keyOf(which) {
    return `${which} ${this.place}`;
  }

  #typed() {
    if (!this.touched) this.at = this.draft.which;
    this.touched = true;
    this.draft.keepTyped(this.#keyOf(this.at), this.input.value);
    clearTimeout(this.later);
    if (this.write && this.whole(this.input.value))
      this.later = setTimeout(() => this.send(), WHILE_TYPING_MS);
  }

  async #left() {
    if (!this.touched) return;
    const key = this.#keyOf(this.at);
    await this.send();
    this.draft.seal();
    // also while the focus stays, after Enter: what was typed is then shown as it was understood
    if (this.draft.typed[key] === undefined) this.#settle();
  }

  /** Text that was typed before a reload: shown, and sent. */
  #goOn(half) {
    this.input.value = half;
    this.at = this.draft.which;
    this.touched = true;
    this.later = setTimeout(() => this.send(), WHILE_TYPING_MS);
  }

  #done(key) {
    this.refused = [];
    this.draft.keepTyped(key, null);
    if (document.activeElement !== this.input) this.#settle();
  }

  #settle() {
    this.touched = false;
    this.sent = null;
    if (this.input.value !== this.latest) this.input.value = this.latest;
  }

  /** `refused` is what the server would not even write into the file: it stays until the text changes. */
  #showProblems(problems, refused = this.refused) {
    this.refused = refused;
    const all = [...problems, ...refused];
    const told = all.join(" ");
    if (told && told !== this.told && document.activeElement === this.input) say(told);
    this.told = told;
    showProblems(this.problems, all);
    describe(this);
  }
}

/** Tie note and problems to the control, so that they are read with it. */
export function describe({ input, note, problems }) {
  const beside = [note, problems].filter((one) => one && !one.hidden).map((one) => one.id);
  set(input, "aria-describedby", beside.length ? beside.join(" ") : null);
  set(input, "aria-invalid", problems.hidden ? null : "true");
}

/** A box to tick; `write` gets true or false. */
export class CheckField {
  constructor(parent, draft, { label, write }) {
    const id = newId("field");
    this.box = put(parent, "div", null, { class: "field tick" });
    this.input = put(this.box, "input", null, { id, type: "checkbox" });
    this.label = put(this.box, "label", label, { for: id });
    this.note = put(this.box, "div", null, { class: "note", id: `${id}-note`, hidden: true });
    this.problems = put(this.box, "div", null, { id: `${id}-problems`, hidden: true });
    this.input.addEventListener("change", () => attempt(this, () => write(this.input.checked, draft.which)));
  }

  show(value, problems = []) {
    this.input.checked = value === true;
    showProblems(this.problems, problems);
    describe(this);
  }
}

/** One of a few words; `write` gets the word, "" for the first choice, which stands for none. */
export class ChoiceField {
  constructor(parent, draft, { label, none, write }) {
    const id = newId("field");
    this.none = none;
    this.box = put(parent, "div", null, { class: "field" });
    this.label = put(this.box, "label", label, { for: id });
    this.input = put(this.box, "select", null, { id });
    this.note = put(this.box, "div", null, { class: "note", id: `${id}-note`, hidden: true });
    this.problems = put(this.box, "div", null, { id: `${id}-problems`, hidden: true });
    this.input.addEventListener("change", () => attempt(this, () => write(this.input.value, draft.which)));
  }

  show(value, choices = [], problems = [], standard = null) {
    const all = value && !choices.includes(value) ? [...choices, value] : choices;
    const none = standard ? `${this.none}: ${standard}` : this.none;
    const offered = [none, ...all].join("\n");
    if (offered !== this.offered) {
      this.input.replaceChildren(new Option(none, ""), ...all.map((one) => new Option(one, one)));
      this.offered = offered;
    }
    this.input.value = value ?? "";
    showProblems(this.problems, problems);
    describe(this);
  }
}

/** Do what a control asks for; a refusal is shown at the control. */
export async function attempt(field, work) {
  try {
    return await work();
  } catch (fault) {
    if (!(fault instanceof Refused)) throw fault;
    showProblems(field.problems, fault.problems);
    if (field.input) describe(field);
    say(fault.problems.join(" "));
    return null;
  }
}

/** A button whose refusal is said beside it. */
export function actButton(parent, text, work, props = {}) {
  const pressed = button(parent, text, () => attempt({ problems }, work), props);
  const problems = put(parent, "div", null, { hidden: true, class: "beside" });
  return pressed;
}
