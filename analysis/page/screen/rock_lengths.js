// Lengths in number fields: shown and typed in the chosen unit, held in cm.

import { newId, put } from "./dom.js";

export const UNIT = { metric: "cm", us: "in" };
export const CM = { metric: 1, us: 2.54 }; // in one of them

const short = (value) => Math.round(value * 100) / 100;

/** A length to choose; `take` gets it in cm as it is typed. `cm` is what it shows. */
export class LengthField {
  constructor(parent, draft, { label, cm, take, least = 0 }) {
    Object.assign(this, { draft, text: label, cm });
    const id = newId("length");
    this.box = put(parent, "div", null, { class: "field" });
    this.label = put(this.box, "label", label, { for: id });
    this.input = put(this.box, "input", null, { id, type: "number", step: "any", min: least, inputmode: "decimal" });
    this.input.addEventListener("input", () => {
      const typed = this.input.valueAsNumber * CM[draft.units];
      if (!Number.isFinite(typed) || typed < least) return;
      this.cm = typed;
      take?.(typed);
    });
    draft.addEventListener("units", () => this.show(this.cm));
    this.show(cm);
  }

  show(cm) {
    this.cm = cm;
    this.label.textContent = `${this.text}, ${UNIT[this.draft.units]}`;
    if (document.activeElement !== this.input) this.input.value = short(cm / CM[this.draft.units]);
  }
}
