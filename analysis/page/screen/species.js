// What is assumed of a species: every trait with value, range, unit and source, and the keeper's own in its place.

import { ask, refusal } from "./ask.js";
import { button, clear, details, newId, on, problemBox, put, say, showPieces, showProblems } from "./dom.js";
import { actButton, ChoiceField, TextField } from "./field.js";
import { typedValue } from "./units.js";

const PARTS = { value: "Value", low: "From", high: "To" };
const NO_UNIT = ["", "relative"];

export class SpeciesPage {
  #name = null;
  #rows = new Map();

  constructor(draft) {
    this.draft = draft;
    const head = newId("species-head");
    this.dialog = put(document.body, "dialog", null, { class: "species", "aria-labelledby": head });
    const top = put(this.dialog, "div", null, { class: "dialog-head" });
    this.head = put(top, "h2", "", { id: head, tabindex: -1 });
    button(top, "Close", () => this.dialog.close());
    this.body = put(this.dialog, "div");
    on(this.dialog, "close", () => (this.#name = null));
    on(draft, "view", () => this.#name && this.#read());
  }

  async open(name) {
    this.#name = name;
    this.#rows.clear();
    this.head.textContent = name;
    clear(this.body);
    put(this.body, "p", "A moment.", { class: "soft" });
    this.dialog.showModal();
    this.head.focus();
    await this.#read();
  }

  async #read() {
    const name = this.#name;
    const fault = await refusal(async () => {
      const page = await ask("/species", { draft: this.draft.file, name });
      if (this.#name !== name) return;
      if (!this.#rows.size) this.#build(page);
      for (const trait of page.traits) this.#rows.get(trait.name)?.show(trait);
    });
    if (!fault) return;
    if (!this.#rows.size) clear(this.body);
    showProblems(problemBox(this.body), fault.problems);
  }

  #build(page) {
    clear(this.body);
    if (page.common.length) this.head.textContent = `${page.key} (${page.common.join(", ")})`;
    put(this.body, "p", "Your own value is written into this file and holds for it alone.", { class: "soft" });
    let group = null;
    for (const trait of page.traits) {
      if (trait.group !== group) put(this.body, "h3", trait.group);
      group = trait.group;
      this.#rows.set(trait.name, new TraitRow(this.body, this.draft, page.key, trait));
    }
    showPieces(details(this.body, "Everything in words"), page.pieces);
  }
}

/** One trait: a number with its range, a word of a few, or a word that is typed. */
class TraitRow {
  constructor(parent, draft, species, trait) {
    Object.assign(this, { draft, species, name: trait.name, label: trait.meaning, fields: {} });
    this.box = put(parent, "fieldset", null, { class: "trait" });
    put(this.box, "legend", trait.meaning + (NO_UNIT.includes(trait.unit) ? "" : ` (${trait.unit})`));
    this.row = put(this.box, "div", null, { class: "row" });
    if (trait.choices) this.#makeChoice();
    else if (trait.kind === "word") this.#makeField("value", "Word", "text");
    else for (const [part, label] of Object.entries(PARTS)) this.#makeField(part, label, "number");
    const below = put(this.box, "div", null, { class: "under" });
    const source = details(below, "");
    this.named = source.firstChild;
    this.reference = put(source, "p", null, { class: "source", dir: "auto" });
    const props = { class: "link", "aria-label": `Back to the library's: ${this.label}` };
    this.back = actButton(below, "Back to the library's", () => this.#back(), props);
  }

  show(trait) {
    const { view } = this.draft;
    const here = `species.${this.species}.${this.name}:`;
    const problems = (view.problems ?? []).filter((text) => text.includes(here));
    // what cannot be used is not in the species: it is shown as it stands in the file
    const written = problems.length ? view.traits?.[this.species]?.[this.name] : null;
    const own = trait.own || Boolean(written);
    this.trait = { ...trait, ...written, own };
    this.named.textContent = own ? "Set by you" : `Source: ${trait.source}`;
    this.reference.textContent = own && !trait.own ? `Allowed: ${trait.allowed}.` : trait.source_text;
    this.back.hidden = !own;
    this.box.classList.toggle("own", own);
    this.choice?.show(this.trait.value, trait.choices, problems);
    for (const [part, field] of Object.entries(this.fields)) {
      field.show(String(this.trait[part]), part === "value" ? problems : []);
    }
  }

  #makeChoice() {
    const write = (word, how) => this.#write(word, how);
    this.choice = new ChoiceField(this.row, this.draft, { label: "Word", none: "the library's", write });
  }

  #makeField(part, label, kind) {
    this.fields[part] = new TextField(this.row, this.draft, {
      place: `trait.${this.species}.${this.name}.${part}`,
      label,
      write: (typed, how) => this.#writePart(part, typedValue(kind, typed, "metric"), how),
      props: { inputmode: kind === "number" ? "decimal" : null, class: `of-${kind}` },
    });
  }

  /** A value alone is not drawn; with a range of one's own all three are written. */
  #writePart(part, value, how) {
    if (value === null || value === "") return this.#write(null, how);
    const { value: middle, low, high, own } = this.trait;
    const alone = part === "value" && (!own || low === high);
    return this.#write(alone ? value : { value: middle, low, high, [part]: value }, how);
  }

  #write(value, how) {
    const change = { do: "trait", species: this.species, name: this.name, value };
    return this.draft.edit([change], `${this.label} of ${this.species}`, how);
  }

  async #back() {
    await this.#write(null, { which: this.draft.which });
    say(`${this.label}: the library's again.`);
  }
}
