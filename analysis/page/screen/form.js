// The fields of tank, rock and run, each with what the server said of it.

import { put, set } from "./dom.js";
import { actButton, CheckField, ChoiceField, describe, TextField } from "./field.js";
import { fieldText, standardText, typedValue } from "./units.js";

/** What the page adds to a field: `area`: a text of several lines; `none`: an empty choice; `when`: shown. */
const EXTRA = {
  question: { area: "textarea" },
  "rock.rescape_day": { when: (view) => view.rock?.kind !== "sketch" },
  "rock.sketch_step": { when: (view) => view.rock?.kind === "sketch" },
  "run.watch": { none: "chosen for you" },
};
export const TANK = ["title", "question"];
export const SIDES = [
  "tank.length",
  "tank.front_to_back",
  "tank.height",
  "tank.water_level",
  "tank.temperature",
];
export const FINER = ["tank.volume", "tank.cell", "tank.temperature_effect"];
export const PILES = ["rock.cover", "rock.height", "rock.piles"];
export const ROCK_FINER = ["rock.rescape_day", "rock.sketch_step"];
export const RUN = ["run.trials", "run.days", "run.settle", "run.watch"];
export const RUN_FINER = ["run.lit_hours", "run.guesses", "run.seed", "run.fixed", "run.controls"];

/** A group of fields that follow a draft. */
export class Fields {
  #fields = new Map();

  constructor(parent, draft, named) {
    this.draft = draft;
    this.box = put(parent, "div", null, { class: "fields" });
    this.named = named;
    const again = () => this.show();
    draft.addEventListener("view", again);
    draft.addEventListener("units", again);
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
    const write = (value, which, joined = null) =>
      draft.edit([{ do: "set", field: key, value }], said(draft.label(key), value), { which, joined });
    let made;
    if (field.kind === "yes") made = new CheckField(this.box, draft, { label: draft.label(key), write });
    else if (field.choices) {
      made = new ChoiceField(this.box, draft, {
        label: draft.label(key),
        none: how.none ?? "",
        write: (word, which) => write(word || null, which),
      });
    } else {
      made = new TextField(this.box, draft, {
        label: draft.label(key),
        area: how.area,
        place: key,
        write: (typed, which, joined) => write(typedValue(field.kind, typed, draft.units), which, joined),
        props: {
          ...(how.area ? { rows: 2 } : { type: "text" }),
          class: `of-${field.kind}`,
          "data-field": key,
        },
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
    const own = this.draft.which > 0 && field.own === true;
    const shared = this.draft.which > 0 && field.shared === true;
    const mark = own ? "own" : shared ? "shared" : "";
    if ((made.note.dataset.mark ?? "") === mark) return;
    made.note.dataset.mark = mark;
    made.note.replaceChildren();
    made.note.hidden = mark === "";
    if (shared) put(made.note, "span", "For the tank and all copies.");
    if (own) {
      put(made.note, "span", "Set by this copy. ");
      const key = made.input.dataset.field;
      const label = made.label.textContent;
      actButton(
        made.note,
        "As the tank is",
        () => this.draft.edit([{ do: "set", field: key, value: null }], `${label} as the tank is`),
        { class: "small", "aria-label": `${label}: as the tank is` },
      );
    }
    describe(made);
  }
}

const said = (label, value) => (value === null ? `${label} emptied` : `${label}: ${spoken(value)}`);
const spoken = (value) => ({ true: "yes", false: "no" })[value] ?? value;
