// All simulated tanks as a picture: one mark a tank, over how much of its time the species swam free.

import { draw, keyTo, Marks, percent, Scale } from "./charts.js";
import { put, set } from "./dom.js";

const SHARE = new Scale(0, 1, 0.25, percent);
const MARK = 15; // px from one mark to the next
const HIGHEST = 230; // px a stack may grow to
const BELOW = 26; // px for the numbers of the axis

/** The picture of the tanks of an answer; `watch(trial)` is called when a tank is chosen, by mouse or by key. */
export class Dots extends Marks {
  #tanks = [];

  constructor(parent, watch) {
    const box = put(parent, "div", null, { class: "dots" });
    const title = put(box, "p");
    super(box, watch);
    this.title = title;
    this.told = put(box, "p", "", { class: "pointed", "aria-hidden": "true" });
  }

  /** Show tanks {trial, free, pinned, chases}; `name`: what the picture shows. */
  show(tanks, name) {
    this.#tanks = tanks.filter((tank) => Number.isFinite(tank.free));
    this.title.textContent = name;
    set(this.frame, "aria-label", `${name}. ${this.#tanks.length} tanks, by arrow keys.`);
    this.paint();
  }

  paintMarks(shown, width) {
    const columns = Math.max(8, Math.floor(width / MARK));
    const stacks = stacked(this.#tanks, columns);
    const most = Math.max(1, ...stacks.map((stack) => stack.length));
    const step = Math.min(MARK, HIGHEST / most);
    const floor = Math.max(3 * MARK, most * step) + 6;
    set(shown, "height", floor + BELOW);
    paintAxis(shown, width, floor);
    stacks.forEach((stack, column) => {
      stack.forEach((tank, k) => {
        const at = { x: ((column + 0.5) * width) / columns, y: floor - (k + 0.5) * step - 2 };
        this.#tank(shown, tank, at, Math.min(5.5, 0.45 * step));
      });
    });
  }

  #tank(shown, tank, { x, y }, size) {
    const told = sentenceOf(tank);
    const tell = () => (this.told.textContent = told);
    const props = {
      class: tank.pinned ? "tank pinned" : "tank",
      "aria-label": `${told} Watch it.`,
      onmouseenter: tell,
      onfocus: () => {
        this.at = tank.trial;
        tell();
      },
    };
    drawTank(this.mark(shown, tank.trial, props, { x: x - 7, y: y - 7, width: 14, height: 14 }), tank.pinned, { x, y }, size);
  }
}

export function sentenceOf({ trial, free, pinned, chases }) {
  const ends = pinned === null ? "" : pinned ? " Pinned." : " Not pinned.";
  return `Simulated tank ${trial + 1}: free ${percent(free)} of the time, ${chases} chases received.${ends}`;
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

/** A circle, or a lozenge where the species was pinned. */
function drawTank(parent, isPinned, { x, y }, size) {
  const r = 1.25 * size;
  if (isPinned) draw(parent, "path", { d: `M${x},${y - r} L${x + r},${y} L${x},${y + r} L${x - r},${y} Z` });
  else draw(parent, "circle", { cx: x, cy: y, r: size });
}

export function dotsKey(parent, pinnedWords) {
  const one = (kind, isPinned) => (svg) => drawTank(draw(svg, "g", { class: kind }), isPinned, { x: 8, y: 8 }, 5.5);
  const entries = [[one("tank", false), "a simulated tank"], [one("tank pinned", true), pinnedWords]];
  keyTo(parent, { width: 16, height: 16 }, entries);
}
