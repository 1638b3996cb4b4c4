// Less or more of one thing at a time: sliders, and under each what the worst off are estimated to keep along it.

import { draw, percent, Scale } from "./charts.js";
import { clear, fillText, keepInStep, labelled, on, put, set } from "./dom.js";
import { refusal } from "./ask.js";
import { fishOf } from "./stocking.js";
import { CM, shown, tenths } from "./units.js";

const HEIGHT = 74;
const FOOT = 8; // px below the line for nothing kept
const TOP = 6;
const INSET = 9; // px from the end of a slider to the middle of its handle there
const UP = new Scale(0, 1, 0.5, percent);
const KEY = [
  ["line", "what the worst off would keep of their swimming about, an estimate"],
  ["dot", "the simulated tanks it rests on, with a 90 % range"],
  ["good", "as good as it gets, within 3 %"],
];

export const mount = (parent, draft) => new LessMore(parent, draft);

class LessMore {
  constructor(parent, draft) {
    this.draft = draft;
    put(parent, "p", "Slide one thing; the others stay. The tank changes as you let go.", { class: "soft" });
    this.word = put(parent, "p", "", { class: "soft" });
    this.list = put(parent, "ol", null, { class: "amount-rows" });
    const key = put(parent, "div", null, { class: "key", hidden: true });
    for (const [kind, text] of KEY) keyed(key, kind, text);
    this.key = key;
    on(draft, "estimated", ({ detail }) => this.#show(detail));
    on(draft, "units", () => this.#show(this.told));
  }

  #show(told) {
    this.told = told;
    const amounts = (told?.amounts ?? []).filter((one) => this.#rowOf(one) || !one.rows.length);
    fillText(this.word, told?.why || (told ? `From ${told.tanks} of ${told.most} simulated tanks with these species.` : ""));
    this.key.hidden = !amounts.length;
    // sliders stay while a change is worked out, so that a hand on one is not let go
    if (!amounts.length && !told?.why) return;
    keepInStep(this.list, amounts, () => new Row(this.draft).line, (line, one) => line.row.fill(one, this.#rowOf(one)));
  }

  /** The row of fish that a slider counts, where there is just one. */
  #rowOf({ rows }) {
    return rows.length === 1 ? this.draft.view?.stock?.find((one) => one.row === rows[0]) : null;
  }
}

class Row {
  constructor(draft) {
    this.draft = draft;
    const line = put(null, "li");
    line.row = this;
    const { label, input } = labelled(line, "", "input", { type: "range" }, "slid");
    Object.assign(this, { label, input });
    this.value = put(null, "output", "", { for: input.id });
    label.after(this.value);
    this.drawn = put(line, "div", null, { class: "hollow", "aria-hidden": "true" });
    this.said = put(line, "p", "", { class: "soft", id: `${input.id}-said` });
    set(input, "aria-describedby", this.said.id);
    on(input, "input", () => this.#follow());
    on(input, "change", () => this.#take());
    new ResizeObserver(() => this.#paint()).observe(this.drawn);
    this.line = line;
  }

  fill(one, fish) {
    const isHeld = document.activeElement === this.input && this.one && Number(this.input.value) !== this.one.now;
    Object.assign(this, { one, fish });
    const what = fish ? `${fish.written || fish.species}, ${one.field}` : this.draft.label(one.field);
    fillText(this.label, what);
    this.kind = fish ? "count" : one.field === "rock.cover" ? "share" : "length";
    this.step = { count: 1, share: 0.05, length: CM[this.draft.units] }[this.kind];
    // steps are counted from where the tank has it, so that the slider can stand there
    const [least, most] = [one.low - one.now, one.high - one.now].map((far) => one.now + Math.trunc(far / this.step) * this.step);
    for (const [name, value] of Object.entries({ min: least, max: most, step: this.step })) set(this.input, name, value);
    if (!isHeld) this.input.value = one.now;
    fillText(this.said, one.said);
    this.#follow();
  }

  /** Where the slider stands: where the tank has it, or a round value beside that. */
  get at() {
    const { low, high, now } = this.one;
    const at = Number(this.input.value);
    if (Math.abs(at - now) < this.step / 2) return now;
    return Math.min(high, Math.max(low, Math.round(at / this.step) * this.step));
  }

  get text() {
    if (this.kind === "count") return String(this.at);
    return this.kind === "share" ? percent(this.at) : shown("length", tenths(this.at / CM[this.draft.units]) * CM[this.draft.units], this.draft.units);
  }

  #follow() {
    const kept = between(this.one.amounts, this.at);
    const told = `${this.text}: the worst off keep ${percent(kept)}`;
    fillText(this.value, told);
    set(this.input, "aria-valuetext", told);
    this.#paint();
  }

  /** Change the tank; where that is refused the slider goes back, and why stands under it. */
  async #take() {
    const { draft, one, fish, at, text } = this;
    if (Math.abs(at - one.now) < 1e-9) return;
    const said = `${this.label.textContent}: ${text}`;
    const fault = await refusal(() => draft.edit(this.#changes(fish, at, text), said, { joined: `slide ${said.split(":")[0]}` }));
    if (!fault) return;
    this.input.value = one.now;
    this.#follow();
    fillText(this.said, fault.problems.join(" "));
  }

  #changes(fish, at, text) {
    if (!fish) return [{ do: "set", field: this.one.field, value: text }];
    const left = fishOf(fish) - (fish[this.one.field] ?? 0) + at;
    if (left <= 0) return [{ do: "drop row", row: fish.row }];
    return [{ do: "row", row: fish.row, field: this.one.field, value: at || null }];
  }

  #paint() {
    const width = this.drawn.clientWidth;
    if (!width || !this.one) return;
    clear(this.drawn);
    const svg = draw(this.drawn, "svg", { width, height: HEIGHT, focusable: "false" });
    const { low, high, amounts, good } = this.one;
    const x = (value) => INSET + ((value - low) / (high - low)) * (width - 2 * INSET);
    const y = (share) => TOP + (1 - share) * (HEIGHT - TOP - FOOT);
    for (const mark of UP.marks) draw(svg, "line", { x1: 0, x2: width, y1: y(mark), y2: y(mark), class: "grid" });
    for (const mark of [0.5, 1]) draw(svg, "text", { x: 0, y: y(mark) + 12, class: "tick" }, percent(mark));
    const path = (ends) => ends.map(([value, share]) => `${x(value)},${y(share)}`).join(" ");
    const edge = [...amounts.map((one) => [one.value, one.high]), ...[...amounts].reverse().map((one) => [one.value, one.low])];
    draw(svg, "polygon", { points: path(edge), class: "band" });
    draw(svg, "polyline", { points: path(amounts.map((one) => [one.value, one.kept])), class: "line" });
    for (const { value, dot } of amounts) if (dot) dotted(svg, x(value), dot.map(y));
    if (good) draw(svg, "rect", { x: x(good[0]) - 3, width: x(good[1]) - x(good[0]) + 6, y: HEIGHT - 5, height: 5, class: "good" });
    draw(svg, "line", { x1: x(this.at), x2: x(this.at), y1: 0, y2: HEIGHT, class: "at" });
  }
}

function dotted(svg, x, [middle, low, high]) {
  draw(svg, "line", { x1: x, x2: x, y1: low, y2: high, class: "sure-line" });
  draw(svg, "circle", { cx: x, cy: middle, r: 3, class: "dot" });
}

/** What is kept between the amounts that were worked out. */
function between(amounts, at) {
  const after = amounts.findIndex((one) => one.value >= at);
  if (after <= 0) return (amounts[after < 0 ? amounts.length - 1 : 0] ?? {}).kept;
  const [one, next] = [amounts[after - 1], amounts[after]];
  return one.kept + ((at - one.value) / (next.value - one.value)) * (next.kept - one.kept);
}

function keyed(parent, kind, text) {
  const item = put(parent, "span");
  const svg = draw(item, "svg", { width: 30, height: 16, class: "hollow", "aria-hidden": "true", focusable: "false" });
  if (kind === "line") draw(svg, "line", { x1: 0, x2: 30, y1: 8, y2: 8, class: "line" });
  if (kind === "dot") dotted(svg, 15, [8, 2, 14]);
  if (kind === "good") draw(svg, "rect", { x: 0, width: 30, y: 6, height: 5, class: "good" });
  put(item, "span", text);
}
