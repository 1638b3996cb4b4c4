// Heights of rock as a grid of digits, the back of the tank first, and what can be done to them.
// A heap is whatever digits above 0 hang together, over edges or corners: it is found in the grid each time.

import { held } from "./units.js";

export const fromRows = (rows) => rows.map((row) => [...row].map(Number));
export const toRows = (heights) => heights.map((row) => row.join(""));
export const blank = (rows, columns) => Array.from({ length: rows }, () => new Array(columns).fill(0));

/** Places [row, column] of the heap that a place belongs to; none where there is no rock. */
export function heapAt(heights, row, column) {
  if (!heights[row]?.[column]) return [];
  const found = [[row, column]];
  const known = new Set([`${row} ${column}`]);
  for (const [r, c] of found) {
    for (let down = -1; down <= 1; down += 1) {
      for (let right = -1; right <= 1; right += 1) {
        const beside = `${r + down} ${c + right}`;
        if (!heights[r + down]?.[c + right] || known.has(beside)) continue;
        known.add(beside);
        found.push([r + down, c + right]);
      }
    }
  }
  return found;
}

/** All heaps, the one farthest left first: where each is found again. */
export function heapsOf(heights) {
  const known = new Set();
  const found = [];
  for (let column = 0; column < heights[0].length; column += 1) {
    for (let row = 0; row < heights.length; row += 1) {
      if (!heights[row][column] || known.has(`${row} ${column}`)) continue;
      const heap = heapAt(heights, row, column);
      heap.forEach(([r, c]) => known.add(`${r} ${c}`));
      found.push(heap);
    }
  }
  return found;
}

const copied = (heights) => heights.map((row) => [...row]);

/** How far a heap can go, at most so far: it stays in the tank as a whole. */
export function withinTank(heights, heap, down, right) {
  const rows = heap.map(([row]) => row);
  const columns = heap.map(([, column]) => column);
  return [
    held(down, heights.length - 1 - Math.max(...rows), -Math.min(...rows)),
    held(right, heights[0].length - 1 - Math.max(...columns), -Math.min(...columns)),
  ];
}

/** A heap moved; where it comes to lie on other rock the higher of both stands. */
export function moved(heights, heap, down, right) {
  const made = without(heights, heap);
  for (const [row, column] of heap) {
    made[row + down][column + right] = Math.max(made[row + down][column + right], heights[row][column]);
  }
  return made;
}

function changed(heights, places, digitOf) {
  const made = copied(heights);
  for (const [row, column] of places) made[row][column] = digitOf(made[row][column]);
  return made;
}

export const without = (heights, heap) => changed(heights, heap, () => 0);

/** A heap higher or lower by a step. Lowered it keeps its outline: what is one step high stays so. */
export const raised = (heights, heap, by, highest) => changed(heights, heap, (digit) => held(digit + by, highest, 1));

export const withPlace = (heights, row, column, digit) => changed(heights, [[row, column]], () => digit);

/** A new heap, highest in its middle: how wide it is (cm), how high; `spot`: length and depth of a place, cm. */
export function withHeap(heights, { row, column, across, digit }, [long, deep]) {
  const made = copied(heights);
  const half = across / 2;
  made.forEach((line, r) =>
    line.forEach((before, c) => {
      const out = Math.hypot((c - column) * long, (r - row) * deep) / half;
      const slope = Math.sqrt(Math.max(0, 1 - out * out));
      if (out < 1 || (r === row && c === column)) line[c] = Math.max(before, 1, Math.round(digit * slope));
    }),
  );
  return made;
}

export const mirrored = (heights) => heights.map((row) => [...row].reverse());

/** The same rock on another grid: each new place has the mean height of what lay there, in the new steps. */
export function resampled(heights, { rows, columns, step, before, highest }) {
  const down = shares(heights.length, rows);
  const across = shares(heights[0].length, columns);
  return down.map((fromRow) =>
    across.map((fromColumn) => {
      let sum = 0;
      for (const [row, part] of fromRow) for (const [column, share] of fromColumn) sum += part * share * heights[row][column];
      return held(Math.round((sum * before) / step), highest);
    }),
  );
}

/** For each of `to` equal parts: which of `from` equal parts lie in it, and which share of it each is. */
function shares(from, to) {
  return Array.from({ length: to }, (_, k) => {
    const [low, high] = [(k * from) / to, ((k + 1) * from) / to];
    const inside = [];
    for (let old = Math.floor(low); old < high - 1e-9; old += 1) {
      inside.push([old, (Math.min(high, old + 1) - Math.max(low, old)) / (high - low)]);
    }
    return inside;
  });
}

/** Rows as somebody types them: blanks left out, empty lines too. */
export const typedRows = (text) => text.replace(/[^\S\n]+/g, "").split("\n").filter(Boolean);

/** Whether typed rows are a whole grid, worth sending while one still types. */
export const isWhole = (rows) => rows.length > 0 && rows.every((row) => /^\d+$/.test(row) && row.length === rows[0].length);
