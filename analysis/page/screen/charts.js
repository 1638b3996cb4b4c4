// Small drawings as SVG. Places across are given in percent of the width, so that text keeps its size.

import { clear, fitted, put, set } from "./dom.js";

const NS = "http://www.w3.org/2000/svg";

/** An SVG element at the end of a parent, as `put` makes others. */
export function draw(parent, tag, props = {}, text = null) {
  return fitted(document.createElementNS(NS, tag), parent, text, props);
}

/** A scale from low to high with marks every step; `share`: where a value lies, 0..1, kept inside. */
export class Scale {
  constructor(low, high, step, say) {
    Object.assign(this, { low, high, step, say });
  }

  share(value) {
    return Math.min(1, Math.max(0, (value - this.low) / (this.high - this.low)));
  }

  percent(value) {
    return `${(100 * this.share(value)).toFixed(2)}%`;
  }

  get marks() {
    const count = Math.round((this.high - this.low) / this.step);
    return Array.from({ length: count + 1 }, (_, k) => this.low + k * this.step);
  }

  /** Whether a value lies beyond an end of the scale: -1, 0 or 1. */
  beyond(value) {
    return value < this.low - 1e-9 ? -1 : value > this.high + 1e-9 ? 1 : 0;
  }
}

const known = (...values) => values.every((value) => Number.isFinite(value));
const STEPS = [1, 2, 5];

/** A scale around values that holds zero, with round marks. */
export function scaleAround(values, say, { most = 6, atLeast = 0 } = {}) {
  const held = [0, ...values.filter((value) => known(value))];
  const low = Math.min(...held);
  const high = Math.max(...held);
  const span = Math.max(high - low, atLeast) || 1;
  let step = 10 ** Math.floor(Math.log10(span / most));
  step *= STEPS.find((times) => span / (step * times) <= most) ?? 10;
  return new Scale(Math.floor(low / step + 1e-9) * step, Math.ceil(Math.max(high, low + step) / step - 1e-9) * step, step, say);
}

export const percent = (share) => (known(share) ? `${Math.round(100 * share)} %` : "-");

export const points = (share) => `${share > 0 ? "+" : ""}${Math.round(100 * share)}`;

/** The axis over rows of drawings: numbers above, its name as text. */
export function axis(parent, scale, name) {
  const box = put(parent, "div", null, { class: "axis", "aria-hidden": "true" });
  put(box, "p", name);
  const shown = draw(box, "svg", { width: "100%", height: 18, focusable: "false" });
  for (const mark of scale.marks) {
    const share = scale.share(mark);
    const anchor = share < 0.04 ? "start" : share > 0.96 ? "end" : "middle";
    draw(shown, "text", { x: scale.percent(mark), y: 13, "text-anchor": anchor, class: "tick" }, scale.say(mark));
  }
  return box;
}

/** A figure as a stroke, its 95 % interval thick, its range over guesses thin; an arrow where it runs out of the scale. */
export function interval(parent, { value, low, high, guess_low: least, guess_high: most }, scale, kind = "interval") {
  const shown = draw(parent, "svg", { width: "100%", height: 22, focusable: "false", "aria-hidden": "true", class: kind });
  for (const mark of scale.marks) upright(shown, scale.percent(mark), 0, 22, Math.abs(mark) < 1e-9 ? "grid zero" : "grid");
  if (known(least, most)) line(shown, scale, least, most);
  if (known(low, high)) {
    const [from, to] = [scale.share(low), scale.share(high)];
    const width = Math.max(0.004, to - from);
    draw(shown, "rect", { x: `${100 * from}%`, width: `${100 * width}%`, y: 6, height: 10, class: "sure" });
  }
  for (const end of [low, high, least, most]) if (known(end)) arrow(shown, scale.beyond(end));
  if (known(value)) upright(shown, scale.percent(value), 1, 21, "value");
}

const upright = (shown, x, y1, y2, kind) => draw(shown, "line", { x1: x, x2: x, y1, y2, class: kind });

function line(shown, scale, from, to) {
  draw(shown, "line", { x1: scale.percent(from), x2: scale.percent(to), y1: 11, y2: 11, class: "guesses" });
  for (const end of [from, to]) if (!scale.beyond(end)) upright(shown, scale.percent(end), 7, 15, "guesses");
}

function arrow(shown, way) {
  if (!way) return;
  const at = way < 0 ? { x: 0, "text-anchor": "start" } : { x: "100%", "text-anchor": "end" };
  draw(shown, "text", { ...at, y: 16, class: "beyond" }, way < 0 ? "\u25c2" : "\u25b8");
}

/** What marks mean, drawn once: [a function that draws one, its text], each in a picture of that size. */
export function keyTo(parent, { width, height }, entries) {
  const key = put(parent, "div", null, { class: "key" });
  for (const [fill, text] of entries) {
    const item = put(key, "span");
    fill(draw(item, "svg", { width, height, class: "interval", "aria-hidden": "true", focusable: "false" }));
    put(item, "span", text);
  }
}

export function intervalKey(parent, sentence) {
  keyTo(parent, { width: 34, height: 22 }, [
    [(svg) => upright(svg, 17, 1, 21, "value"), sentence],
    [(svg) => draw(svg, "rect", { x: 2, width: 30, y: 6, height: 10, class: "sure" }), "thick bar: by the luck of the tanks, 95 %"],
    [(svg) => line(svg, new Scale(0, 34, 34, String), 3, 31), "thin line: by what nobody has measured"],
  ]);
}

/**
 * A picture of marks that are buttons: one stop of Tab for all of them, the arrows move among them.
 *
 * `paintMarks(shown, width)` of a subclass draws what is to be seen, each mark by `mark`.
 */
export class Marks {
  marks = [];
  at = null; // which the focus is or was on, or which is chosen

  constructor(parent, choose, props = {}) {
    this.choose = choose;
    this.frame = put(parent, "div", null, { role: "group", onkeydown: (event) => this.#key(event), ...props });
    onWidth(this.frame, () => this.paint());
  }

  paint(width = this.frame.clientWidth) {
    if (!width) return;
    const hadFocus = this.frame.contains(document.activeElement);
    clear(this.frame);
    this.marks = [];
    this.paintMarks(draw(this.frame, "svg", { width, height: 0, focusable: "false" }), width);
    const mark = this.marks.find((one) => one.of === this.at) ?? this.marks[0];
    if (!mark) return;
    set(mark, "tabindex", 0);
    if (hadFocus) mark.focus();
  }

  mark(shown, of, props, touch) {
    const made = draw(shown, "g", { role: "button", tabindex: -1, onclick: () => this.chosen(of), ...props });
    draw(made, "rect", { ...touch, class: "touch" });
    made.of = of;
    this.marks.push(made);
    return made;
  }

  chosen(of) {
    this.at = of;
    this.choose(of);
  }

  #key(event) {
    const from = this.marks.indexOf(event.target);
    if (from < 0) return;
    if (["Enter", " "].includes(event.key)) this.chosen(event.target.of);
    else if (!this.#move(event.key, from)) return;
    event.preventDefault();
  }

  #move(key, from) {
    const way = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[key];
    const to = key === "Home" ? 0 : key === "End" ? this.marks.length - 1 : way ? from + way : -1;
    if (to < 0 || to >= this.marks.length) return false;
    this.marks.forEach((mark, k) => set(mark, "tabindex", k === to ? 0 : -1));
    this.marks[to].focus();
    return true;
  }
}

function onWidth(element, again) {
  let width = 0;
  new ResizeObserver(() => {
    if (Math.abs(element.clientWidth - width) < 2) return;
    width = element.clientWidth;
    if (width > 0) again(width);
  }).observe(element);
}
