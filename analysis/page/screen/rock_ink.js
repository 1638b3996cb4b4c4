// Colours, patterns and marks of the two views of the rock. Every mark has a light and a dark line, so that it
// shows on sand, stone and water alike.

export const DARK = "#10181b";
export const LIGHT = "#ffffff";
const MARK = "#ffd33d";
const SEEN = "#0b3f8a";
const SAND = [239, 230, 208];
const LOW = [222, 197, 152];
const HIGH = [52, 32, 14];
const TILE = 24;

/** Colour of a height: one hue, the darker the higher. `digit` 0 is the floor. */
export function colourOf(digit) {
  const share = (digit - 1) / 8;
  const channels = digit ? LOW.map((low, k) => Math.round(low + share * (HIGH[k] - low))) : SAND;
  return `rgb(${channels.join(" ")})`;
}

export const signOn = (digit) => (digit >= 4 ? LIGHT : DARK);

/** A line twice: broad and dark below, thin and light above. */
export function twoTone(ink, draw, { width = 2, dashes = [] } = {}) {
  ink.setLineDash([]);
  ink.lineWidth = 2 * width + 0.5;
  ink.strokeStyle = DARK;
  draw();
  ink.setLineDash(dashes);
  ink.lineWidth = width;
  ink.strokeStyle = dashes.length ? MARK : LIGHT;
  draw();
  ink.setLineDash([]);
}

const patterns = new Map();

/** Slanting lines for what is in view, the closer the more of it: `sign` 1 to 9. */
export function hatch(ink, sign) {
  const lines = sign <= 3 ? 1 : sign <= 6 ? 2 : 3;
  if (!patterns.has(lines)) patterns.set(lines, tile(lines));
  return ink.createPattern(patterns.get(lines), "repeat");
}

function tile(lines) {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = TILE;
  const ink = canvas.getContext("2d");
  for (const [colour, width] of [["rgb(255 255 255 / 0.8)", 3.4], [SEEN, 1.7]]) {
    ink.strokeStyle = colour;
    ink.lineWidth = width;
    for (let k = -lines; k <= 2 * lines; k += 1) {
      const at = (k * TILE) / lines;
      ink.beginPath();
      ink.moveTo(at - TILE, -TILE);
      ink.lineTo(at + 2 * TILE, 2 * TILE);
      ink.stroke();
    }
  }
  return canvas;
}

/** Hatch what is in view: rows of signs 0 to 9, and where each place is. */
export function shade(ink, rows, boxOf) {
  rows.forEach((row, r) =>
    [...row].forEach((sign, c) => {
      if (!(sign > 0)) return;
      ink.fillStyle = hatch(ink, Number(sign));
      ink.fillRect(...boxOf(r, c));
    }),
  );
}

export function oval(ink, x, y, wide, high = wide) {
  ink.beginPath();
  ink.ellipse(x, y, wide, high, 0, 0, 7);
}

function fillAndEdge(ink, colour, width, edge) {
  ink.fillStyle = colour;
  ink.fill();
  ink.lineWidth = width;
  ink.strokeStyle = edge;
  ink.stroke();
}

export function paintMouth(ink, x, y, half) {
  oval(ink, x, y, half, 0.7 * half);
  fillAndEdge(ink, DARK, 1, LIGHT);
}

export function paintEye(ink, x, y) {
  oval(ink, x, y, 8);
  twoTone(ink, () => ink.stroke(), { width: 2.5 });
  oval(ink, x, y, 3.4);
  fillAndEdge(ink, MARK, 1.5, DARK);
}

/** Make a canvas as sharp as the screen; its ink then draws in CSS pixels. */
export function sized(canvas, width, height) {
  const ratio = Math.min(3, window.devicePixelRatio || 1);
  const [wide, high] = [Math.max(1, Math.round(width * ratio)), Math.max(1, Math.round(height * ratio))];
  if (canvas.width !== wide) canvas.width = wide;
  if (canvas.height !== high) canvas.height = high;
  canvas.style.width = `${width}px`;
  canvas.style.height = `${height}px`;
  const ink = canvas.getContext("2d");
  ink.setTransform(ratio, 0, 0, ratio, 0, 0);
  ink.clearRect(0, 0, width, height);
  return ink;
}
