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
  return `rgb(${channels(digit).join(" ")})`;
}

/** Colour of a sign written on that. */
export const signOn = (digit) => (digit >= 4 ? LIGHT : DARK);

function channels(digit) {
  if (digit === 0) return SAND;
  const share = (digit - 1) / 8;
  return LOW.map((low, k) => Math.round(low + share * (HIGH[k] - low)));
}

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

/** The mouth of a crevice. */
export function paintMouth(ink, x, y, half) {
  ink.beginPath();
  ink.ellipse(x, y, half, 0.7 * half, 0, 0, 7);
  ink.fillStyle = DARK;
  ink.fill();
  ink.lineWidth = 1;
  ink.strokeStyle = LIGHT;
  ink.stroke();
}

/** The place a fish looks from. */
export function paintEye(ink, x, y) {
  const ring = (size) => () => {
    ink.beginPath();
    ink.arc(x, y, size, 0, 7);
    ink.stroke();
  };
  twoTone(ink, ring(8), { width: 2.5 });
  ink.beginPath();
  ink.arc(x, y, 3.4, 0, 7);
  ink.fillStyle = MARK;
  ink.fill();
  ink.lineWidth = 1.5;
  ink.strokeStyle = DARK;
  ink.stroke();
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
