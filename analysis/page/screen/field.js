// One thing to type, tick or choose: its label, its problems beside it, and what happens while one types.

import { refusal } from "./ask.js";
import { button, labelled, on, problemBox, put, say, set, showProblems } from "./dom.js";
import { CM, short, unitOf } from "./units.js";

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

/** A control with its label, a note and problems beside it, which are read with it. */
class Field {
  constructor(parent, label, tag, props, kind) {
    Object.assign(this, labelled(parent, label, tag, props, kind));
    if (kind) this.box.append(this.input, this.label); // a tick stands before its words
    const { id } = this.input;
    this.note = put(this.box, "div", null, { class: "note", id: `${id}-note`, hidden: true });
    this.problems = problemBox(this.box, { id: `${id}-problems` });
  }

  /** Show problems, and tie note and problems to the control. */
  describe(problems) {
    if (problems) showProblems(this.problems, problems);
    const beside = [this.note, this.problems].filter((one) => !one.hidden).map((one) => one.id);
    set(this.input, "aria-describedby", beside.length ? beside.join(" ") : null);
    set(this.input, "aria-invalid", this.problems.hidden ? null : "true");
  }
}

/**
 * A line (or area) of text. It is sent a moment after the last letter, and when it is left.
 *
 * What is typed is kept at once under `place`, so that a reload finds it; an answer never lays over what is being
 * typed. `write(typed, {which, joined})` sends it; without it the text is only kept, until somebody takes it by `text`
 * and `empty`. `whole(typed)`: whether it is worth sending before it is left; an emptied field is not, since a key that
 * is taken out of the file leaves with its comment.
 */
export class TextField extends Field {
  touched = false; // something was typed here that the file may not say yet
  at = 0; // the tank or copy it was typed for
  latest = ""; // what the file says
  sent = null; // what was sent last, since the text was last that of the file
  refused = [];

  constructor(parent, draft, { place, label, write, whole = (typed) => typed.trim() !== "", area = "input", props = {} }) {
    const usual = { autocomplete: "off", spellcheck: "false", placeholder: " " };
    super(parent, label, area, { ...usual, ...(area === "input" && { type: "text" }), ...props });
    Object.assign(this, { draft, place, write, whole });
    on(this.input, "input", () => this.#typed());
    on(this.input, "change", () => this.#left());
    this.input.editing = () => this.touched;
    if (!write) on(draft, "view", () => this.#findKept());
  }

  get text() {
    return this.input.value;
  }

  /** Forget what was typed in a field that is only kept, but for what is `left` to be put right. */
  empty(left = "") {
    this.input.value = left;
    this.touched = left !== "";
    this.draft.keepTyped(this.#keyOf(this.draft.which), left || null);
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
    const mine = this.sending;
    if ((await mine) && mine === this.sending && this.input.value === text) this.#done(key);
    return null;
  }

  async #write(text, key) {
    const fault = await refusal(() => this.write(text, { which: this.at, joined: key }));
    if (!fault) return true;
    if (this.sent === text) this.sent = null;
    if (fault.unreached) waitingFields(this.draft).add(this);
    else this.#showProblems([], fault.problems);
    return false;
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
    this.describe(all);
  }
}

export class CheckField extends Field {
  constructor(parent, draft, { label, write }) {
    super(parent, label, "input", { type: "checkbox" }, "field tick");
    on(this.input, "change", () => attempt(this, () => write(this.input.checked, { which: draft.which })));
  }

  show(value, problems = []) {
    this.input.checked = value === true;
    this.describe(problems);
  }
}

/** One of a few words; `write` gets the word, or null for the first choice, which stands for none. */
export class ChoiceField extends Field {
  constructor(parent, draft, { label, none, write }) {
    super(parent, label, "select");
    this.none = none;
    on(this.input, "change", () => attempt(this, () => write(this.input.value || null, { which: draft.which })));
  }

  show(value, choices = [], problems = [], standard = null) {
    const all = value && !choices.includes(value) ? [...choices, value] : choices;
    const none = standard ? `${this.none}: ${standard}` : this.none;
    const offered = [none, ...all].join("\n");
    if (offered !== this.offered) this.input.replaceChildren(new Option(none, ""), ...all.map((one) => new Option(one)));
    this.offered = offered;
    this.input.value = value ?? "";
    this.describe(problems);
  }
}

/** Do what a control asks for; a refusal is shown at the control, and said. */
export async function attempt(field, work) {
  const fault = await refusal(work);
  if (!fault) return;
  showProblems(field.problems, fault.problems);
  field.describe?.();
  say(fault.message);
}

export function actButton(parent, text, work, props = {}) {
  const pressed = button(parent, text, () => attempt({ problems }, work), props);
  const problems = problemBox(parent, { class: "beside" });
  return pressed;
}

/** A length in a number field, shown and typed in the chosen unit; `take` gets it in cm as it is typed. */
export class LengthField {
  constructor(parent, draft, { label, cm, take, least = 0 }) {
    Object.assign(this, { draft, text: label, cm });
    const props = { type: "number", step: "any", min: least, inputmode: "decimal" };
    Object.assign(this, labelled(parent, label, "input", props));
    on(this.input, "input", () => {
      const typed = this.input.valueAsNumber * CM[draft.units];
      if (!Number.isFinite(typed) || typed < least) return;
      this.cm = typed;
      take?.(typed);
    });
    on(draft, "units", () => this.show(this.cm));
    this.show(cm);
  }

  show(cm) {
    this.cm = cm;
    this.label.textContent = `${this.text}, ${unitOf("length", this.draft.units)}`;
    if (document.activeElement !== this.input) this.input.value = short(cm / CM[this.draft.units]);
  }
}
