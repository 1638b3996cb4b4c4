// How much rock, as a picture: the amount across, the chance to be pinned upwards, each point a button.

import { draw, Marks, percent, Scale } from "./charts.js";
import { put, set } from "./dom.js";

const HEIGHT = 300;
const LEFT = 52;
const RIGHT = 16;
const TOP = 14;
const BELOW = 30;
const UP = new Scale(0, 1, 0.25, percent);
const GAP = 10; // px between two numbers below the axis

export class AmountPicture extends Marks {
  #points = [];

  constructor(parent, choose) {
    const up = put(parent, "p", "", { class: "axis-name" });
    super(parent, choose, { class: "amounts" });
    this.up = up;
    this.across = put(parent, "p", "", { class: "axis-name across" });
  }

  /** Show points {number, amount, text, share, low, high}; `level`: the wanted chance. */
  show({ points, level, axis, species }, chosen) {
    this.#points = points;
    this.at = chosen;
    this.level = level;
    this.up.textContent = `Upwards: share of the simulated tanks in which ${species} is pinned (upright stroke: 95 %)`;
    this.across.textContent = `Across: ${axis}`;
    const wanted = `Dashed line: ${percent(level)} is wanted at most.`;
    set(this.frame, "aria-label", `${species} pinned, by ${axis}. ${points.length} amounts, by arrow keys. ${wanted}`);
    this.paint();
  }

  paintMarks(shown, width) {
    if (!this.#points.length) return;
    set(shown, "height", HEIGHT);
    const amounts = this.#points.map((one) => one.amount);
    const across = new Scale(Math.min(...amounts), Math.max(...amounts, Math.min(...amounts) + 1e-6), 1, String);
    const place = {
      x: (amount) => LEFT + 12 + across.share(amount) * (width - LEFT - RIGHT - 24),
      y: (share) => TOP + (1 - UP.share(share)) * (HEIGHT - TOP - BELOW),
    };
    this.#paintAxes(shown, width, place);
    for (const one of this.#points) this.#point(shown, one, place);
  }

  #paintAxes(shown, width, place) {
    for (const mark of UP.marks) {
      const y = place.y(mark);
      draw(shown, "line", { x1: LEFT, x2: width - RIGHT, y1: y, y2: y, class: mark ? "grid" : "grid zero" });
      draw(shown, "text", { x: LEFT - 8, y: y + 5, "text-anchor": "end", class: "tick" }, percent(mark));
    }
    const wanted = place.y(this.level);
    draw(shown, "line", { x1: LEFT, x2: width - RIGHT, y1: wanted, y2: wanted, class: "wanted" });
    this.#paintAmounts(shown, width, place);
  }

  #paintAmounts(shown, width, place) {
    let free = 0;
    for (const one of [...this.#points].sort((a, b) => a.amount - b.amount)) {
      const x = place.x(one.amount);
      draw(shown, "line", { x1: x, x2: x, y1: place.y(0), y2: place.y(0) + 5, class: "grid zero" });
      const label = draw(shown, "text", { y: HEIGHT - 8, class: "tick" }, one.short);
      const long = label.getComputedTextLength();
      const from = Math.min(x - long / 2, width - long);
      if (from < free) label.remove();
      else {
        set(label, "x", from);
        free = from + long + GAP;
      }
    }
  }

  #point(shown, one, place) {
    const isChosen = one.number === this.at;
    const kind = ["point", one.own && "own", isChosen && "chosen", !one.tanks && "empty"].filter(Boolean).join(" ");
    const x = place.x(one.amount);
    const y = place.y(Number.isFinite(one.share) ? one.share : 0);
    const props = { class: kind, "aria-pressed": String(isChosen), "aria-label": one.told };
    const touch = { x: x - 13, y: Math.min(y, place.y(1)) < y - 13 ? y - 13 : TOP, width: 26, height: 26 };
    const mark = this.mark(shown, one.number, props, touch);
    if (Number.isFinite(one.low)) stroke(mark, x, place.y(one.low), place.y(one.high));
    if (one.own) draw(mark, "rect", { x: x - 7, y: y - 7, width: 14, height: 14, class: "dot" });
    else draw(mark, "circle", { cx: x, cy: y, r: 7, class: "dot" });
  }

  chosen(number) {
    this.at = number;
    this.paint();
    this.choose(number);
  }
}

function stroke(mark, x, low, high) {
  draw(mark, "line", { x1: x, x2: x, y1: low, y2: high, class: "sure-line" });
  for (const y of [low, high]) draw(mark, "line", { x1: x - 4, x2: x + 4, y1: y, y2: y, class: "sure-line" });
}
