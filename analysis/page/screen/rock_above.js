// The tank from above: heights as digits and shades, heaps, mouths of crevices, wood and equipment, what is in view.

import { colourOf, DARK, LIGHT, oval, paintEye, paintMouth, shade, signOn, sized, twoTone } from "./rock_ink.js";
import { held } from "./units.js";

const ROOM_FOR_SIGN = 10; // px that a place must be wide for its digit
const LEAST_HEIGHT = 96; // px: a finger must hit something
const STONES = ["#5d5a52", "#66635b", "#716e65", "#7d7970", "#88857b", "#949186", "#a19d92", "#aeaa9e", "#bbb7ab"]; // lighter the higher
const LETTERS = { wood: "W", filter: "F", heater: "H" };

export class Above {
  constructor(canvas) {
    this.canvas = canvas;
    this.scale = [1, 1];
    this.size = [1, 1];
  }

  /** `isPlain`: stones without their digits, as long as nobody works on them; `most`: px that it may be high. */
  paint(state, { cursor, heap, isFocused, isPlain }, width, most) {
    if (!state.size || width < 10) return;
    const [long, deep] = state.size;
    this.size = [long, deep];
    const high = Math.max(LEAST_HEIGHT, Math.round(Math.min(most, (width * deep) / long)));
    this.scale = [width / long, high / deep];
    this.places = [state.rows, state.columns];
    const ink = sized(this.canvas, width, high);
    if (isPlain) this.#paintStones(ink, state.heights);
    else this.#paintHeights(ink, state.heights);
    const seen = state.place && state.answer.sight;
    if (seen) this.#paintSight(ink, seen);
    if (!isPlain) this.#paintDigits(ink, state.heights);
    this.#paintObjects(ink, state.rock.objects ?? []);
    for (const { x, y, mouth } of state.answer.crevices) {
      if (!isPlain) paintMouth(ink, this.#x(x), this.#y(y), held(0.3 * mouth * this.scale[0], 5, 2.2));
    }
    this.#paintHeap(ink, heap);
    if (seen) paintEye(ink, this.#x(seen.place[0]), this.#y(seen.place[1]));
    this.#paintCursor(ink, cursor, isFocused);
  }

  /** The place of the grid, and the place in the tank (cm), under a pointer. */
  at(event) {
    const box = this.canvas.getBoundingClientRect();
    const right = held((event.clientX - box.left) / box.width, 1);
    const down = held((event.clientY - box.top) / box.height, 1);
    const [rows, columns] = this.places;
    return {
      row: Math.min(rows - 1, Math.floor(down * rows)),
      column: Math.min(columns - 1, Math.floor(right * columns)),
      x: right * this.size[0],
      y: (1 - down) * this.size[1],
    };
  }

  #x(cm) {
    return cm * this.scale[0];
  }

  #y(cm) {
    return (this.size[1] - cm) * this.scale[1];
  }

  /** Left, top, width and height of a place of the grid, px. */
  #box(row, column) {
    const [rows, columns] = this.places;
    const wide = (this.size[0] * this.scale[0]) / columns;
    const high = (this.size[1] * this.scale[1]) / rows;
    return [column * wide, row * high, wide, high];
  }

  /** Stones as one sees them from above, the highest on top: what is there while nobody works on it. */
  #paintStones(ink, heights) {
    ink.fillStyle = "#c9bd9d";
    ink.fillRect(0, 0, this.size[0] * this.scale[0], this.size[1] * this.scale[1]);
    for (let level = 1; level <= 9; level += 1) {
      this.#each(heights, (digit, left, top, wide, high) => {
        if (digit !== level) return;
        const turn = (7 * left + 13 * top) % 3;
        oval(ink, left + wide * (0.42 + 0.08 * turn), top + high * (0.58 - 0.08 * turn), 0.72 * wide, 0.72 * high);
        ink.fillStyle = STONES[Math.min(8, digit - 1)];
        ink.fill();
        ink.lineWidth = 1;
        ink.strokeStyle = "rgb(40 38 34 / 0.55)";
        ink.stroke();
      });
    }
  }

  #paintHeights(ink, heights) {
    this.#each(heights, (digit, left, top, wide, high) => {
      ink.fillStyle = colourOf(digit);
      ink.fillRect(left, top, wide + 0.5, high + 0.5);
    });
    this.#paintLines(ink);
  }

  #each(heights, paint) {
    heights.forEach((row, r) => row.forEach((digit, c) => paint(digit, ...this.#box(r, c))));
  }

  #paintDigits(ink, heights) {
    const [, , wide, high] = this.#box(0, 0);
    if (Math.min(wide, high) < ROOM_FOR_SIGN) return;
    ink.font = `${Math.min(16, Math.round(0.78 * Math.min(wide * 1.25, high)))}px system-ui, "DejaVu Sans", sans-serif`;
    ink.textAlign = "center";
    ink.textBaseline = "middle";
    this.#each(heights, (digit, left, top) => {
      if (!digit) return;
      ink.fillStyle = signOn(digit);
      ink.fillText(digit, left + wide / 2, top + high / 2 + 0.5);
    });
  }

  #paintLines(ink) {
    const [, , wide, high] = this.#box(0, 0);
    if (Math.min(wide, high) < 5) return;
    ink.strokeStyle = "rgb(16 24 27 / 0.13)";
    ink.lineWidth = 1;
    ink.beginPath();
    for (let k = 1; k < this.places[1]; k += 1) line(ink, k * wide, 0, k * wide, this.places[0] * high);
    for (let k = 1; k < this.places[0]; k += 1) line(ink, 0, k * high, this.places[1] * wide, k * high);
    ink.stroke();
  }

  #paintObjects(ink, objects) {
    for (const one of objects) {
      const box = [this.#x(one.from_left), this.#y(one.from_front + one.front_to_back), this.#x(one.length), one.front_to_back * this.scale[1]];
      ink.fillStyle = "rgb(44 50 54 / 0.55)";
      ink.fillRect(...box);
      twoTone(ink, () => ink.strokeRect(...box), { width: 1.5 });
      ink.font = 'bold 13px system-ui, "DejaVu Sans", sans-serif';
      const [x, y] = [box[0] + box[2] / 2, box[1] + box[3] / 2];
      ink.strokeStyle = DARK;
      ink.lineWidth = 3;
      ink.strokeText(LETTERS[one.kind] ?? "?", x, y);
      ink.fillStyle = LIGHT;
      ink.fillText(LETTERS[one.kind] ?? "?", x, y);
    }
  }

  #paintSight(ink, { above }) {
    const wide = (this.size[0] * this.scale[0]) / above[0].length;
    const high = (this.size[1] * this.scale[1]) / above.length;
    shade(ink, above, (r, c) => [c * wide, r * high, wide, high]);
  }

  #paintHeap(ink, heap) {
    if (!heap?.length) return;
    const inside = new Set(heap.map(([row, column]) => `${row} ${column}`));
    const edges = () => {
      ink.beginPath();
      for (const [row, column] of heap) {
        const [left, top, wide, high] = this.#box(row, column);
        if (!inside.has(`${row - 1} ${column}`)) line(ink, left, top, left + wide, top);
        if (!inside.has(`${row + 1} ${column}`)) line(ink, left, top + high, left + wide, top + high);
        if (!inside.has(`${row} ${column - 1}`)) line(ink, left, top, left, top + high);
        if (!inside.has(`${row} ${column + 1}`)) line(ink, left + wide, top, left + wide, top + high);
      }
      ink.stroke();
    };
    twoTone(ink, edges, { width: 2, dashes: [7, 4] });
  }

  #paintCursor(ink, cursor, isFocused) {
    if (!cursor) return;
    const [left, top, wide, high] = this.#box(cursor.row, cursor.column);
    const grown = Math.max(0, (9 - Math.min(wide, high)) / 2);
    const box = [left - grown, top - grown, wide + 2 * grown, high + 2 * grown];
    twoTone(ink, () => ink.strokeRect(...box), { width: isFocused ? 2.5 : 1.2 });
  }
}

function line(ink, x, y, toX, toY) {
  ink.moveTo(x, y);
  ink.lineTo(toX, toY);
}
