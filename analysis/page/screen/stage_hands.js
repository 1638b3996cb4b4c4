// What a mouse or finger does on the front glass: choose a fish, drag it out, or move, raise and lower a pile.

import { on, say } from "./dom.js";
import { carry } from "./carry.js";
import { takeFishOut } from "./stocking.js";

const NEAR = 4; // px within which a fish is meant besides its own body
const MOVED = 6; // px from which on it is a drag

export function handleFront(stage, tank) {
  const { over, view } = tank;
  const { deeds, state } = stage;
  let from = null; // {x, y, fish} or {x, y, heap: true}

  const at = (event) => {
    const box = over.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  on(over, "pointerdown", (event) => {
    if (event.button !== 0) return;
    const [x, y] = at(event);
    const fish = fishAt(view, x, y);
    const place = !fish && tank.which === stage.draft.which && state.answer ? rockAt(stage, view, x, y) : null;
    if (fish) from = { x, y, fish };
    else if (stage.tool?.() === "look" && state.answer) return void stage.lookAt?.(waterAt(stage, view, x, y));
    else if (place) {
      deeds.mark(place.row, place.column);
      if (deeds.lift()) from = { x, y, place, isRock: true };
    } else {
      deeds.unmark();
      stage.follow(null);
    }
    if (from) over.setPointerCapture(event.pointerId);
  });
  on(over, "pointermove", (event) => {
    if (!from) return;
    const [x, y] = at(event);
    if (from.isRock) return pull(stage, view, from, x, y);
    if (Math.hypot(x - from.x, y - from.y) < MOVED) return;
    const { fish } = from;
    from = null;
    over.releasePointerCapture(event.pointerId);
    dragOut(stage, tank, fish, event);
  });
  const end = (isGivenUp) => {
    if (!from) return;
    const was = from;
    from = null;
    if (was.fish) stage.follow(was.fish.label);
    else if (isGivenUp) deeds.giveUp();
    else deeds.settle();
  };
  on(over, "pointerup lostpointercapture", () => end(false));
  on(over, "pointercancel", () => end(true));
}

function fishAt(view, x, y) {
  let best = null;
  let least = NEAR;
  for (const fish of view.fish) {
    if (!fish.here || fish.px === undefined) continue;
    const far = Math.hypot((fish.px - x) / 1.6, fish.py - y) - 0.36 * fish.length * fish.size;
    if (far < least) [best, least] = [fish, far];
  }
  return best;
}

/** The place of the rock's grid under a point of the front glass, the nearest to the glass first; null for water. */
function rockAt({ state }, { frame }, x, y) {
  const [long, deep] = state.spot;
  for (let row = state.rows - 1; row >= 0; row -= 1) {
    const back = (state.rows - row - 0.5) * deep;
    for (let column = 0; column < state.columns; column += 1) {
      const high = state.heights[row][column] * state.step;
      if (!high || x < frame.x(column * long, back) || x > frame.x((column + 1) * long, back)) continue;
      if (y >= frame.z(high, back) && y <= frame.z(0, back)) return { row, column, back };
    }
  }
  return null;
}

/** The place in the water, cm, under a point of the glass: as far back as one looks from now. */
function waterAt({ state }, { frame }, x, y) {
  const back = state.place?.[1] ?? state.size[1] / 2;
  const [eyeX, eyeZ] = frame.view;
  const share = frame.share(back);
  return {
    x: eyeX + ((x - frame.left) / frame.scale - eyeX) / share,
    z: eyeZ + ((frame.floor - y) / frame.scale - eyeZ) / share,
  };
}

function pull({ deeds, state }, { frame }, { x: fromX, y: fromY, place }, x, y) {
  const size = frame.scale * frame.share(place.back);
  const right = Math.round((x - fromX) / (size * state.spot[0]));
  const up = Math.round((fromY - y) / (size * state.step));
  deeds.carry(0, right, up);
}

/** Carry a fish; let go beside the tank it is out. */
function dragOut(stage, { view, which }, fish, event) {
  const name = stage.film.species[fish.species].called;
  const isOut = (target) => !target?.closest?.("#stage .views");
  carry(event, {
    text: name,
    colours: stage.film.species[fish.species].wear[fish.male],
    over: (target) => (isOut(target) ? "out" : ""),
    drop: (target) => {
      if (!isOut(target)) return;
      if (which !== stage.draft.which) return say("Show that tank alone first, to take fish out of it.");
      takeFishOut(stage.draft, fish.label, name, view.fish);
    },
  });
}
