// How much rock, as a picture: the amount across, the chance to be pinned upwards, each point a button.

import { arrows, draw, onWidth, percent, Scale } from "./charts.js";
import { clear, put, set } from "./dom.js";

const HEIGHT = 300;
const LEFT = 52;
const RIGHT = 16;
const TOP = 14;
const BELOW = 30;
const UP = new Scale(0, 1, 0.25, percent);
const GAP = 10; // px between two numbers below the axis

export class AmountPicture {
  #points = [];
  #at = null; // number of the point chosen

  constructor(parent, choose) {
    this.choose = choose;
    this.up = put(parent, "p", "", { class: "axis-name" });
    this.frame = put(parent, "div", null, { role: "group", class: "amounts" });
    this.across = put(parent, "p", "", { class: "axis-name across" });
    this.frame.addEventListener("keydown", (event) => this.#key(event));
    onWidth(this.frame, () => this.#paint());
  }

  /** Show points {number, amount, text, share, low, high}; `level`: the wanted chance. */
  show({ points, level, axis, species }, chosen) {
    this.#points = points;
    this.#at = chosen;
    this.level = level;
    this.up.textContent = `Upwards: share of the simulated tanks in which ${species} is pinned (upright stroke: 95 %)`;
    this.across.textContent = `Across: ${axis}`;
    set(this.frame, "aria-label", `${species} pinned, by ${axis}. ${points.length} amounts, by arrow keys. Dashed line: ${percent(level)} is wanted at most.`);
    this.#paint();
  }

  #paint() {
    const width = this.frame.clientWidth;
    if (!width || !this.#points.length) return;
    const hadFocus = this.frame.contains(document.activeElement);
    clear(this.frame);
    const shown = draw(this.frame, "svg", { width, height: HEIGHT, focusable: "false" });
    const amounts = this.#points.map((one) => one.amount);
    const across = new Scale(Math.min(...amounts), Math.max(...amounts, Math.min(...amounts) + 1e-6), 1, String);
    const place = {
      x: (amount) => LEFT + 12 + across.share(amount) * (width - LEFT - RIGHT - 24),
      y: (share) => TOP + (1 - UP.share(share)) * (HEIGHT - TOP - BELOW),
    };
    this.#paintAxes(shown, width, place);
    this.marks = this.#points.map((one) => this.#mark(shown, one, place));
    const mark = this.marks.find((one) => one.number === this.#at) ?? this.marks[0];
    set(mark, "tabindex", 0);
    if (hadFocus) mark.focus();
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

  /** The amounts below the axis: as many of them as find room. */
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

  #mark(shown, one, place) {
    const isChosen = one.number === this.#at;
    const kind = ["point", one.own ? "own" : "", isChosen ? "chosen" : "", one.tanks ? "" : "empty"].join(" ").trim();
    const mark = draw(shown, "g", { class: kind, role: "button", tabindex: -1, "aria-pressed": String(isChosen), "aria-label": one.told });
    mark.number = one.number;
    const x = place.x(one.amount);
    const y = place.y(Number.isFinite(one.share) ? one.share : 0);
    draw(mark, "rect", { x: x - 13, y: Math.min(y, place.y(1)) < y - 13 ? y - 13 : TOP, width: 26, height: 26, class: "touch" });
    if (Number.isFinite(one.low)) stroke(mark, x, place.y(one.low), place.y(one.high));
    if (one.own) draw(mark, "rect", { x: x - 7, y: y - 7, width: 14, height: 14, class: "dot" });
    else draw(mark, "circle", { cx: x, cy: y, r: 7, class: "dot" });
    mark.addEventListener("click", () => this.#choose(one.number));
    return mark;
  }

  #choose(number) {
    this.#at = number;
    this.#paint();
    this.choose(number);
  }

  #key(event) {
    const from = this.marks.indexOf(event.target);
    if (from < 0) return;
    if (["Enter", " "].includes(event.key)) this.#choose(event.target.number);
    else if (!arrows(this.marks, event.key, from)) return;
    event.preventDefault();
  }
}

function stroke(mark, x, low, high) {
  draw(mark, "line", { x1: x, x2: x, y1: low, y2: high, class: "sure-line" });
  for (const y of [low, high]) draw(mark, "line", { x1: x - 4, x2: x + 4, y1: y, y2: y, class: "sure-line" });
}
