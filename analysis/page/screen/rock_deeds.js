// What can be done to the rock, by whatever hand: the marked place, its pile, and every change of the heights.

import { on, say, Teller } from "./dom.js";
import { heapAt, heapsOf, mirrored, moved, raised, withHeap, withinTank, without, withPlace } from "./rock_grid.js";
import { held, shown, tenths } from "./units.js";

const FIXED = "From now on it stands so in every simulated tank; Undo brings back rock piled anew.";

/** Event: "mark" when another place or pile is marked. Rock piled anew in every tank stands as it is shown once it is moved. */
export class Deeds extends Teller {
  cursor = { row: 0, column: 0 };
  fresh = { across: 25, high: 20 }; // cm, of a new pile
  isMarked = false; // somebody chose a place; until then the highest is marked
  #carried = null; // a pile being moved: {base, heap, down, right}
  #stroke = null; // places touched while the pointer is down

  constructor(state) {
    super();
    this.state = state;
    on(state, "grid answer", () => this.#keepInside());
  }

  /** The pile at the marked place, or the one being moved where it is now. */
  get heap() {
    if (this.#carried) {
      const { heap, down, right } = this.#carried;
      return heap.map(([row, column]) => [row + down, column + right]);
    }
    return heapAt(this.state.heights, this.cursor.row, this.cursor.column);
  }

  get isCarrying() {
    return this.#carried !== null;
  }

  /** Middle of the marked place, cm from the left and from the front. */
  get middle() {
    const [long, deep] = this.state.spot;
    return [(this.cursor.column + 0.5) * long, (this.state.rows - this.cursor.row - 0.5) * deep];
  }

  get where() {
    const { state } = this;
    if (!state.size) return "";
    const length = (cm) => shown("length", tenths(cm), state.draft.units);
    const [left, front] = this.middle;
    const at = `${length(left)} from the left, ${length(front)} from the front`;
    const digit = this.#digit;
    const places = this.heap.length === 1 ? "1 place" : `${this.heap.length} places`;
    return `${at}: ${digit ? `rock ${length(digit * state.step)} high (${digit}), in a pile of ${places}` : "bare floor"}`;
  }

  mark(row, column) {
    const { rows, columns } = this.state;
    this.cursor = { row: held(row, rows - 1), column: held(column, columns - 1) };
    this.isMarked = true;
    this.tell("mark");
  }

  unmark() {
    this.isMarked = false;
    this.tell("mark");
  }

  /** Mark the next pile to the right, beginning again at the left. */
  markNextHeap() {
    const heaps = heapsOf(this.state.heights);
    if (!heaps.length) return this.#said("No rock yet.");
    const { row, column } = this.cursor;
    const own = heaps.findIndex((heap) => heap.some(([r, c]) => r === row && c === column));
    const heap = heaps[(own + 1) % heaps.length];
    this.mark(...heap.reduce((best, place) => (this.#height(place) > this.#height(best) ? place : best)));
    return this.#said(this.where);
  }

  set(digit) {
    if (this.#isClosed()) return;
    const { state, cursor } = this;
    const most = Math.min(digit, state.highest);
    state.lay(withPlace(state.heights, cursor.row, cursor.column, most));
    state.commitSoon("height of one place");
    this.#said(digit > most ? `${most} is the most that stays within the tank. ${this.where}` : this.where);
  }

  stepPlace(by) {
    this.set(Math.max(0, this.#digit + by));
  }

  stepHeap(by) {
    if (!this.#hasPile()) return;
    const { state, heap } = this;
    state.lay(raised(state.heights, heap, by, state.highest));
    state.commitSoon(by > 0 ? "a pile raised" : "a pile lowered");
    this.#said(this.where);
  }

  takeOut() {
    if (!this.#hasPile()) return;
    const { state, heap } = this;
    this.#carried = null;
    state.lay(without(state.heights, heap));
    state.commit("a pile taken out");
    this.#said("The pile is taken out.");
  }

  putDown() {
    if (this.#isClosed()) return;
    const { state, fresh } = this;
    if (!this.isMarked) this.cursor = middleFree(state.heights);
    const { cursor } = this;
    const digit = held(Math.round(fresh.high / state.step), state.highest, 1);
    state.lay(withHeap(state.heights, { ...cursor, across: fresh.across, digit }, state.spot));
    this.isMarked = true;
    state.commit("a new pile");
    this.#said(`New pile. ${this.where}`);
  }

  mirror() {
    if (this.#isClosed()) return;
    const { state } = this;
    state.lay(mirrored(state.heights));
    this.mark(this.cursor.row, state.columns - 1 - this.cursor.column);
    state.commit("rock mirrored left and right");
    this.#said("The rock is mirrored left and right.");
  }

  // ---- a pile being moved

  /** Take hold of the pile at the marked place; false where there is none or it cannot be moved. */
  lift() {
    if (this.#isClosed()) return false;
    const { heap, state } = this;
    if (!heap.length) return false;
    state.flush();
    state.held = true;
    this.#carried = { base: state.heights, heap, down: 0, right: 0, up: 0, cursor: this.cursor };
    this.tell("mark");
    return true;
  }

  /** Move it so far from where it was lifted, in places, and raise it by so many steps. */
  carry(down, right, up = 0) {
    const { base, heap, cursor, ...before } = this.#carried;
    const [d, r] = withinTank(base, heap, down, right);
    if (d === before.down && r === before.right && up === before.up) return;
    Object.assign(this.#carried, { down: d, right: r, up });
    this.cursor = { row: cursor.row + d, column: cursor.column + r };
    this.state.lay(moved(raised(base, heap, up, this.state.highest), heap, d, r));
    this.tell("mark");
  }

  carryOn(down, right) {
    this.carry(this.#carried.down + down, this.#carried.right + right);
  }

  settle() {
    const { down, right, up } = this.#carried;
    const wasDrawn = this.state.rock.kind === "drawn";
    this.#carried = null;
    this.state.held = false;
    if (down || right) this.state.commit("a pile moved");
    else if (up) this.state.commit(up > 0 ? "a pile raised" : "a pile lowered");
    else this.state.letGo();
    if (wasDrawn && (down || right || up)) say(FIXED);
    this.tell("mark");
  }

  giveUp() {
    this.cursor = this.#carried.cursor;
    this.#carried = null;
    this.state.letGo();
    this.tell("mark");
  }

  // ---- single places, as long as the pointer is down

  beginStroke() {
    if (this.#isClosed()) return false;
    this.state.flush();
    this.state.held = true;
    this.#stroke = new Set();
    return true;
  }

  stroke(row, column, by) {
    const { state } = this;
    this.mark(row, column);
    const place = `${row} ${column}`;
    if (this.#stroke.has(place)) return;
    this.#stroke.add(place);
    const digit = held(state.heights[row][column] + by, state.highest);
    if (digit !== state.heights[row][column]) state.lay(withPlace(state.heights, row, column, digit));
  }

  endStroke(by) {
    this.#stroke = null;
    this.state.held = false;
    this.state.commit(by > 0 ? "rock raised" : "rock lowered");
  }

  #height([row, column]) {
    return this.state.heights[row][column];
  }

  get #digit() {
    return this.#height([this.cursor.row, this.cursor.column]);
  }

  /** Whether there is a pile at the marked place that can be changed; where there is none it is said. */
  #hasPile() {
    if (this.#isClosed()) return false;
    if (!this.heap.length) this.#said("No pile at the marked place.");
    return this.heap.length > 0;
  }

  #isClosed() {
    return !this.state.isOpen;
  }

  #keepInside() {
    const { row, column } = this.cursor;
    const { rows, columns } = this.state;
    this.cursor = { row: Math.min(row, rows - 1), column: Math.min(column, columns - 1) };
    if (!this.isMarked) this.cursor = highestOf(this.state.heights);
  }

  #said(text) {
    say(text);
    this.tell("mark");
  }
}

function highestOf(heights) {
  const top = Math.max(...heights.map((row) => Math.max(...row)));
  const row = heights.findIndex((line) => line.includes(top));
  return { row, column: heights[row].indexOf(top) };
}

/** The bare place nearest to the middle, a little to the back: where a new pile goes when no place was chosen. */
function middleFree(heights) {
  const [rows, columns] = [heights.length, heights[0].length];
  const far = ({ row, column }) => Math.abs(column - columns / 2) + Math.abs(row - rows / 3);
  const bare = heights.flatMap((line, row) => line.map((digit, column) => ({ row, column, digit }))).filter((one) => !one.digit);
  return bare.sort((a, b) => far(a) - far(b))[0] ?? { row: 0, column: 0 };
}
