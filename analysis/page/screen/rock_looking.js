// Where a fish looks from, and what it sees from there.

import { button, buttonRow, clear, labelled, on, paragraphs, put, set } from "./dom.js";
import { CM, held, tenths, unitOf } from "./units.js";

const AXES = ["From the left", "From the front", "Above the base"];
const FIRST_ABOVE = 5; // cm above the base, where nothing else was chosen

export class Looking {
  constructor(parent, deeds) {
    this.deeds = deeds;
    this.state = deeds.state;
    const box = put(parent, "fieldset", null, { class: "rock-sight" });
    put(box, "legend", "Lines of sight");
    const buttons = buttonRow(box);
    button(buttons, "Look from the marked place", () => this.from(...this.deeds.middle));
    this.off = button(buttons, "Hide the lines of sight", () => this.state.look(null), { hidden: true });
    this.fields = put(box, "div", null, { class: "fields", hidden: true });
    this.inputs = AXES.map((label, axis) => this.#axis(label, axis));
    this.said = put(box, "div", null, { class: "rock-said", role: "status" });
    const told = "Hatched in both pictures: water in view from the ring, the closer the lines the more of it.";
    this.key = put(box, "p", told, { class: "soft", hidden: true });
    on(this.state, "grid", () => this.show());
    on(this.state, "answer", () => this.#tell());
    on(this.state.draft, "units", () => this.show());
  }

  /** Look from a place on the floor plan, as high as before. */
  from(x, y) {
    this.state.look([tenths(x), tenths(y), this.state.place?.[2] ?? Math.min(FIRST_ABOVE, this.state.size[3])]);
  }

  /** Look from a place on the front glass, as far back as before. */
  fromFront({ x, z }) {
    const [long, , , water] = this.state.size;
    this.state.look([tenths(held(x, long)), this.depth, tenths(held(z, water))]);
  }

  /** How far behind the front glass one looks, or would look: in the middle at first. */
  get depth() {
    return this.state.place?.[1] ?? this.state.size[1] / 2;
  }

  show() {
    const { place, size } = this.state;
    this.fields.hidden = this.off.hidden = this.key.hidden = !place;
    if (!place) clear(this.said);
    if (!place || !size) return;
    const { units } = this.state.draft;
    this.inputs.forEach(({ input: number, slider, label }, axis) => {
      label.textContent = `${AXES[axis]}, ${unitOf("length", units)}`;
      set(number, "max", tenths(this.#most(axis) / CM[units]));
      set(slider, "max", this.#most(axis));
      if (document.activeElement !== number) number.value = tenths(place[axis] / CM[units]);
      slider.value = place[axis];
    });
  }

  #axis(label, axis) {
    const props = { type: "number", min: 0, step: "any", inputmode: "decimal" };
    const made = labelled(this.fields, label, "input", props);
    const sliding = { type: "range", min: 0, step: 1, "aria-label": `${label}, slider`, class: "slider" };
    const slider = put(made.box, "input", null, sliding);
    on(made.input, "input", () => this.#set(axis, made.input.valueAsNumber * CM[this.state.draft.units]));
    on(slider, "input", () => this.#set(axis, slider.valueAsNumber));
    return { ...made, slider };
  }

  #most(axis) {
    return this.state.size[axis === 2 ? 3 : axis];
  }

  #set(axis, cm) {
    if (!Number.isFinite(cm)) return;
    const next = [...(this.state.place ?? [0, 0, 0])];
    next[axis] = held(cm, this.#most(axis));
    this.state.look(next);
  }

  #tell() {
    const said = this.state.place ? (this.state.answer?.sight?.said ?? []) : [];
    const text = said.join("\n");
    if (text === this.told) return;
    this.told = text;
    clear(this.said);
    paragraphs(this.said, said);
  }
}
