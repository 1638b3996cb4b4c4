// Where a fish looks from, and what it sees from there.

import { button, newId, put, set } from "./dom.js";
import { CM, UNIT } from "./rock_lengths.js";

const AXES = [
  ["From the left", 0],
  ["From the front", 1],
  ["Above the base", 2],
];
const FIRST_ABOVE = 5; // cm above the base, where nothing else was chosen

/** The place of sight: shown and changed by numbers and sliders. */
export class Looking {
  constructor(parent, deeds) {
    this.deeds = deeds;
    this.state = deeds.state;
    const box = put(parent, "fieldset", null, { class: "rock-sight" });
    put(box, "legend", "Lines of sight");
    const buttons = put(box, "div", null, { class: "buttons" });
    button(buttons, "See from the marked place", () => this.from(...this.deeds.middle));
    this.off = button(buttons, "Show no lines of sight", () => this.state.look(null), { hidden: true });
    this.fields = put(box, "div", null, { class: "fields", hidden: true });
    this.inputs = AXES.map(([label, axis]) => this.#axis(label, axis));
    this.said = put(box, "div", null, { class: "rock-said", role: "status" });
    this.key = put(box, "p", "Hatched in both pictures: water in view from the ring, the closer the lines the more of it.", { class: "soft", hidden: true });
    this.state.addEventListener("grid", () => this.show());
    this.state.addEventListener("answer", () => this.#tell());
    this.state.draft.addEventListener("units", () => this.show());
  }

  /** Look from a place on the floor plan, as high as before. */
  from(x, y) {
    this.state.look([round(x), round(y), this.state.place?.[2] ?? Math.min(FIRST_ABOVE, this.state.size[3])]);
  }

  /** Look from a place on the front glass, as far back as before. */
  fromFront({ x, z }) {
    const [long, , , water] = this.state.size;
    const y = this.depth;
    this.state.look([round(held(x, long)), y, round(held(z, water))]);
  }

  /** How far behind the front glass one looks, or would look: in the middle at first. */
  get depth() {
    return this.state.place?.[1] ?? this.state.size[1] / 2;
  }

  show() {
    const { place, size } = this.state;
    this.fields.hidden = this.off.hidden = this.key.hidden = !place;
    if (!place) this.said.replaceChildren();
    if (!place || !size) return;
    const unit = CM[this.state.draft.units];
    const most = [size[0], size[1], size[3]];
    for (const { axis, number, slider, label } of this.inputs) {
      label.textContent = `${AXES[axis][0]}, ${UNIT[this.state.draft.units]}`;
      set(number, "max", round(most[axis] / unit));
      set(slider, "max", most[axis]);
      if (document.activeElement !== number) number.value = round(place[axis] / unit);
      slider.value = place[axis];
    }
  }

  #axis(label, axis) {
    const id = newId("look");
    const box = put(this.fields, "div", null, { class: "field" });
    const made = { axis, label: put(box, "label", label, { for: id }) };
    made.number = put(box, "input", null, { id, type: "number", min: 0, step: "any", inputmode: "decimal" });
    made.slider = put(box, "input", null, { type: "range", min: 0, step: 1, "aria-label": `${label}, slider`, class: "slider" });
    const unit = () => CM[this.state.draft.units];
    made.number.addEventListener("input", () => this.#set(axis, made.number.valueAsNumber * unit()));
    made.slider.addEventListener("input", () => this.#set(axis, made.slider.valueAsNumber));
    return made;
  }

  #set(axis, cm) {
    if (!Number.isFinite(cm)) return;
    const { place, size } = this.state;
    const next = [...(place ?? [0, 0, 0])];
    next[axis] = held(cm, [size[0], size[1], size[3]][axis]);
    this.state.look(next);
  }

  #tell() {
    const said = this.state.place ? (this.state.answer?.sight?.said ?? []) : [];
    const text = said.join("\n");
    if (text === this.told) return;
    this.told = text;
    this.said.replaceChildren();
    for (const sentence of said) put(this.said, "p", sentence, { dir: "auto" });
  }
}

const round = (value) => Math.round(value * 10) / 10;
const held = (value, most) => Math.max(0, Math.min(most, value));
