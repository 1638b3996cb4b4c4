// What is drawn over the living tank: the marked pile, crevices, lines of sight, and the fish from above.

import { oval, paintEye, shade, sized, twoTone } from "./rock_ink.js";
import { isOpen } from "./sheets.js";

/** Over the front glass of the tank that is edited: its marked pile, and with the rock's sheet open its crevices. */
export function paintOver(stage, { which, view, over }) {
  const { state, deeds } = stage;
  const { frame, ratio } = view;
  const ink = over.getContext("2d");
  ink.setTransform(ratio, 0, 0, ratio, 0, 0);
  ink.clearRect(0, 0, frame.width, frame.height);
  if (which !== stage.draft.which || !state.answer) return;
  const isSeen = state.answer.sight && state.place;
  if (isSeen) paintSight(ink, state.answer, frame);
  if (isOpen("rock")) paintMouths(ink, state.answer, frame);
  if (isSeen) {
    const [x, y, z] = state.answer.sight.place;
    paintEye(ink, frame.x(x, y), frame.z(z, y));
  }
  if (deeds.isMarked && deeds.heap.length) paintHeap(ink, stage, frame);
}

/** A frame round the pile as it is seen from the front. */
function paintHeap(ink, { state, deeds }, frame) {
  const [long, deep] = state.spot;
  const edges = deeds.heap.map(([row, column]) => {
    const back = (state.rows - row - 0.5) * deep;
    const top = frame.z(state.heights[row][column] * state.step, back);
    return [frame.x(column * long, back), top, frame.x((column + 1) * long, back), frame.z(0, back)];
  });
  const least = (axis) => Math.min(...edges.map((edge) => edge[axis])) - 3;
  const most = (axis) => Math.max(...edges.map((edge) => edge[axis])) + 3;
  const [left, top] = [least(0), least(1)];
  twoTone(ink, () => ink.strokeRect(left, top, most(2) - left, most(3) - top), { width: 2, dashes: [7, 4] });
}

function paintMouths(ink, { crevices }, frame) {
  for (const { x, y, z, mouth } of crevices) {
    const half = Math.max(3, 0.55 * mouth * frame.scale * frame.share(y));
    oval(ink, frame.x(x, y), frame.z(z, y), half, 0.85 * half);
    twoTone(ink, () => ink.stroke(), { width: 1 });
  }
}

/** Each column of water from the glass to the back is drawn halfway back. */
function paintSight(ink, { sight, size }, frame) {
  const [across, , up] = sight.cells;
  const [long, deep, , water] = size;
  const y = deep / 2;
  const x = (k) => frame.x((k * long) / across, y);
  const z = (k) => frame.z(((up - k) * water) / up, y);
  shade(ink, sight.front, (r, c) => [x(c), z(r), x(c + 1) - x(c), z(r + 1) - z(r)]);
}

/** From above: each fish as a slip in its colours, headed where it swims; in a crevice only a ring. */
export function paintFishAbove({ tanks: [{ view }], fishAbove, above, film, followed }) {
  const { width, height } = above.canvas.getBoundingClientRect();
  if (!width) return;
  const ink = sized(fishAbove, Math.round(width), Math.round(height));
  const [long, deep] = view.told.size;
  for (const fish of view.fish) {
    if (!fish.here) continue;
    const wear = film.species[fish.species].wear[fish.male];
    const [x, y] = [(fish.at[0] / long) * width, (1 - fish.at[1] / deep) * height];
    const half = Math.max(4, (0.5 * fish.length * width) / long);
    ink.save();
    ink.translate(x, y);
    if (fish.hole >= 0) oval(ink, 0, 0, 0.45 * half);
    else {
      ink.scale(fish.turn < 0 ? -1 : 1, 1);
      slip(ink, half);
    }
    ink.fillStyle = wear.colours.body;
    ink.fill();
    ink.lineWidth = view.fish[fish.i].label === followed ? 3 : 1.2;
    ink.strokeStyle = fish.label === followed ? "#ffd33d" : wear.rim;
    ink.stroke();
    ink.restore();
  }
}

function slip(ink, half) {
  const wide = 0.28 * half;
  ink.beginPath();
  ink.moveTo(half, 0);
  ink.quadraticCurveTo(0.2 * half, -1.6 * wide, -0.6 * half, 0);
  ink.lineTo(-half, -wide);
  ink.lineTo(-half, wide);
  ink.lineTo(-0.6 * half, 0);
  ink.quadraticCurveTo(0.2 * half, 1.6 * wide, half, 0);
  ink.closePath();
}
