// The fields of tank, rock and run, each with what the server said of it.

import { on, put, set } from "./dom.js";
import { actButton, CheckField, ChoiceField, TextField } from "./field.js";
import { fieldText, standardText, typedValue } from "./units.js";

/** What the page adds to a field: `area`: a text of several lines; `none`: an empty choice; `when`: shown. */
const EXTRA = {
  question: { area: "textarea" },
  "rock.rescape_day": { when: (view) => view.rock?.kind !== "sketch" },
  "rock.sketch_step": { when: (view) => view.rock?.kind === "sketch" },
  "run.watch": { none: "chosen for you" },
};
export const TANK = ["title", "question"];
export const SIDES = ["length", "front_to_back", "height", "water_level", "temperature"].map((one) => `tank.${one}`);
export const FINER = ["tank.volume", "tank.cell", "tank.temperature_effect"];
export const PILES = ["rock.cover", "rock.height", "rock.piles"];
export const ROCK_FINER = ["rock.rescape_day", "rock.sketch_step"];
export const RUN = ["run.trials", "run.days", "run.settle", "run.watch"];
export const RUN_FINER = ["run.lit_hours", "run.guesses", "run.seed", "run.fixed", "run.wide", "run.controls"];

export class Fields {
  #fields = new Map();

  constructor(parent, draft, named) {
    this.draft = draft;
    this.box = put(parent, "div", null, { class: "fields" });
    this.named = named;
    on(draft, "view units", () => this.show());
    if (draft.view) this.show();
  }

  show() {
    for (const key of this.named) {
      const how = EXTRA[key] ?? {};
      const field = this.draft.view?.fields?.[key];
      if (field && !this.#fields.has(key)) this.#fields.set(key, this.#made(key, how, field));
      const made = this.#fields.get(key);
      if (!made) continue;
      made.box.hidden = !field || how.when?.(this.draft.view) === false;
      if (field) this.#fill(made, field);
    }
  }

  #made(key, how, field) {
    const { draft } = this;
    const label = draft.label(key);
    const write = (value, way) => draft.edit([{ do: "set", field: key, value }], said(label, value), way);
    let made;
    if (field.kind === "yes") made = new CheckField(this.box, draft, { label, write });
    else if (field.choices) made = new ChoiceField(this.box, draft, { label, none: how.none ?? "", write });
    else {
      made = new TextField(this.box, draft, {
        label,
        area: how.area,
        place: key,
        write: (typed, way) => write(typedValue(field.kind, typed, draft.units), way),
        props: { class: `of-${field.kind}`, ...(how.area && { rows: 2 }) },
      });
    }
    set(made.input, "data-field", key);
    return made;
  }

  #fill(made, field) {
    const { draft } = this;
    const { problems = [] } = field;
    const inherited = draft.which > 0 && !field.own;
    if (made instanceof CheckField) made.show(field.value ?? field.standard, problems);
    else if (made instanceof ChoiceField) made.show(field.written, field.choices, problems, field.standard);
    else {
      made.show(fieldText(field, draft.units, inherited), problems);
      set(made.input, "placeholder", standardText(field, draft.units) || " ");
    }
    this.#mark(made, field);
  }

  /** In a copy: whether it sets this itself, and the way back. */
  #mark(made, field) {
    const { draft } = this;
    const isOf = (name) => draft.which > 0 && field[name] === true;
    const mark = ["own", "shared"].find(isOf) ?? "";
    if ((made.note.dataset.mark ?? "") === mark) return;
    made.note.dataset.mark = mark;
    made.note.replaceChildren();
    made.note.hidden = mark === "";
    if (mark === "shared") put(made.note, "span", "For the tank and all copies.");
    if (mark === "own") {
      put(made.note, "span", "Set by this copy. ");
      const label = made.label.textContent;
      const change = { do: "set", field: made.input.dataset.field, value: null };
      const props = { class: "small", "aria-label": `${label}: as the tank is` };
      actButton(made.note, "Same as the tank", () => draft.edit([change], `${label} as the tank is`), props);
    }
    made.describe();
  }
}

const said = (label, value) => (value === null ? `${label} emptied` : `${label}: ${spoken(value)}`);
const spoken = (value) => ({ true: "yes", false: "no" })[value] ?? value;
