// All simulated tanks as a picture: one mark a tank, over how much of its time the species swam free.

import { arrows, draw, onWidth, percent, Scale } from "./charts.js";
import { clear, put, set } from "./dom.js";

const SHARE = new Scale(0, 1, 0.25, percent);
const MARK = 15; // px from one mark to the next
const HIGHEST = 230; // px a stack may grow to
const BELOW = 26; // px for the numbers of the axis

/**
 * The picture of the tanks of an answer.
 *
 * `watch(trial)` is called when a tank is chosen, by mouse or by key.
 */
export class Dots {
  #tanks = [];
  #at = null; // trial that the focus is or was on

  constructor(parent, watch) {
    this.watch = watch;
    this.box = put(parent, "div", null, { class: "dots" });
    this.title = put(this.box, "p");
    this.frame = put(this.box, "div", null, { role: "group" });
    this.told = put(this.box, "p", "", { class: "pointed", "aria-hidden": "true" });
    this.frame.addEventListener("keydown", (event) => this.#key(event));
    onWidth(this.frame, () => this.#paint());
  }

  /** Show tanks {trial, free, pinned, chases}; `name`: what the picture shows. */
  show(tanks, name) {
    this.#tanks = tanks.filter((tank) => Number.isFinite(tank.free));
    this.title.textContent = name;
    set(this.frame, "aria-label", `${name}. ${this.#tanks.length} tanks, by arrow keys.`);
    this.#paint();
  }

  #paint() {
    const width = this.frame.clientWidth;
    if (!width) return;
    const hadFocus = this.frame.contains(document.activeElement);
    const columns = Math.max(8, Math.floor(width / MARK));
    const stacks = stacked(this.#tanks, columns);
    const most = Math.max(1, ...stacks.map((stack) => stack.length));
    const step = Math.min(MARK, HIGHEST / most);
    const floor = Math.max(3 * MARK, most * step) + 6;
    clear(this.frame);
    const shown = draw(this.frame, "svg", { width, height: floor + BELOW, focusable: "false" });
    paintAxis(shown, width, floor);
    this.marks = [];
    stacks.forEach((stack, column) => {
      stack.forEach((tank, k) => {
        const at = { x: ((column + 0.5) * width) / columns, y: floor - (k + 0.5) * step - 2 };
        this.marks.push(this.#mark(shown, tank, at, Math.min(5.5, 0.45 * step)));
      });
    });
    this.#giveFocus(hadFocus);
  }

  #mark(shown, tank, at, size) {
    const told = sentenceOf(tank);
    const mark = draw(shown, "g", { class: tank.pinned ? "tank pinned" : "tank", role: "button", tabindex: -1, "aria-label": `${told} Watch it.` });
    mark.trial = tank.trial;
    draw(mark, "rect", { x: at.x - 7, y: at.y - 7, width: 14, height: 14, class: "touch" });
    if (tank.pinned) draw(mark, "path", { d: diamond(at, size * 1.25) });
    else draw(mark, "circle", { cx: at.x, cy: at.y, r: size });
    mark.addEventListener("click", () => this.#choose(mark));
    mark.addEventListener("focus", () => this.#point(mark, told));
    mark.addEventListener("mouseenter", () => (this.told.textContent = told));
    return mark;
  }

  #point(mark, told) {
    this.#at = mark.trial;
    this.told.textContent = told;
  }

  #choose(mark) {
    this.#at = mark.trial;
    this.watch(mark.trial);
  }

  /** One stop of Tab for all marks, at the tank it was on before. */
  #giveFocus(hadFocus) {
    const mark = this.marks.find((one) => one.trial === this.#at) ?? this.marks[0];
    if (!mark) return;
    set(mark, "tabindex", 0);
    if (hadFocus) mark.focus();
  }

  #key(event) {
    const from = this.marks.indexOf(event.target);
    if (from < 0) return;
    if (["Enter", " "].includes(event.key)) this.#choose(event.target);
    else if (!arrows(this.marks, event.key, from)) return;
    event.preventDefault();
  }
}

/** What is said of one tank. */
export function sentenceOf({ trial, free, pinned, chases }) {
  const ends = pinned === null ? "" : pinned ? " Pinned." : " Not pinned.";
  return `Simulated tank ${trial}: free ${percent(free)} of the time, ${chases} chases received.${ends}`;
}

function stacked(tanks, columns) {
  const stacks = Array.from({ length: columns }, () => []);
  for (const tank of tanks) stacks[Math.min(columns - 1, Math.floor(SHARE.share(tank.free) * columns))].push(tank);
  for (const stack of stacks) stack.sort((a, b) => b.pinned - a.pinned || a.trial - b.trial); // pinned ones at the foot
  return stacks;
}

function paintAxis(shown, width, floor) {
  draw(shown, "line", { x1: 0, x2: width, y1: floor, y2: floor, class: "grid zero" });
  for (const mark of SHARE.marks) {
    const x = SHARE.share(mark) * width;
    const anchor = mark === 0 ? "start" : mark === 1 ? "end" : "middle";
    draw(shown, "line", { x1: x, x2: x, y1: floor, y2: floor + 5, class: "grid zero" });
    draw(shown, "text", { x, y: floor + 19, "text-anchor": anchor, class: "tick" }, percent(mark));
  }
}

const diamond = ({ x, y }, r) => `M${x},${y - r} L${x + r},${y} L${x},${y + r} L${x - r},${y} Z`;

/** What the two kinds of marks mean. */
export function dotsKey(parent, pinnedWords) {
  const key = put(parent, "div", null, { class: "key" });
  const one = (fill, text) => {
    const item = put(key, "span");
    fill(draw(item, "svg", { width: 16, height: 16, "aria-hidden": "true", focusable: "false" }));
    put(item, "span", text);
  };
  one((svg) => draw(draw(svg, "g", { class: "tank" }), "circle", { cx: 8, cy: 8, r: 5.5 }), "a simulated tank");
  one((svg) => draw(draw(svg, "g", { class: "tank pinned" }), "path", { d: diamond({ x: 8, y: 8 }, 7) }), pinnedWords);
}
