// The rock by mouse, finger and keys: both do the same deeds.

import { on, say } from "./dom.js";

export const TOOLS = [
  ["move", "Move a pile"],
  ["raise", "Raise places"],
  ["lower", "Lower places"],
  ["look", "Look from there"],
];
const STEPS = { raise: 1, lower: -1 };

/** What a pressed pointer does on the view from above; `tool()` names one of TOOLS, `look(x, y)` looks from there. */
export function handlePointer(above, deeds, { tool, look }) {
  const { canvas } = above;
  let from = null;

  on(canvas, "pointerdown", (event) => {
    if (event.button !== 0 || !deeds.state.size) return;
    const at = above.at(event);
    const step = STEPS[tool()];
    deeds.mark(at.row, at.column);
    if (tool() === "look") look(at.x, at.y);
    else if (step ? deeds.beginStroke() : deeds.lift()) {
      from = at;
      canvas.setPointerCapture(event.pointerId);
      if (step) deeds.stroke(at.row, at.column, step);
    }
  });
  on(canvas, "pointermove", (event) => {
    if (!from) return;
    const at = above.at(event);
    if (deeds.isCarrying) deeds.carry(at.row - from.row, at.column - from.column);
    else deeds.stroke(at.row, at.column, STEPS[tool()] ?? 0);
  });
  const end = (isGivenUp) => {
    if (!from) return;
    from = null;
    if (!deeds.isCarrying) deeds.endStroke(STEPS[tool()] ?? 1);
    else if (isGivenUp) deeds.giveUp();
    else deeds.settle();
  };
  on(canvas, "pointerup lostpointercapture", () => end(false));
  on(canvas, "pointercancel", () => end(true));
}

export const KEYS = [
  ["Arrows, Home, End", "mark another place"],
  ["P", "mark the next pile"],
  ["0 to 9", "height of the marked place, in steps"],
  ["+ and \u2212", "the marked place higher, lower"],
  ["Page up, Page down", "its pile higher, lower"],
  ["M", "move the pile with the arrows; Enter or M puts it down, Escape puts it back"],
  ["N", "a new pile at the marked place"],
  ["Delete", "take the pile out"],
  ["L", "see what is in view from the marked place"],
];

const ARROWS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };

export function handleKeys(box, deeds, { look }) {
  const [up, down, out] = [() => deeds.stepPlace(1), () => deeds.stepPlace(-1), () => deeds.takeOut()];
  const others = {
    ...{ "+": up, "=": up, "-": down, "\u2212": down, Delete: out, Backspace: out },
    PageUp: () => deeds.stepHeap(1),
    PageDown: () => deeds.stepHeap(-1),
    Home: () => go(deeds, 0, -deeds.state.columns),
    End: () => go(deeds, 0, deeds.state.columns),
    m: () => lift(deeds),
    n: () => deeds.putDown(),
    p: () => deeds.markNextHeap(),
    l: () => look(...deeds.middle),
  };
  on(box, "keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !deeds.state.size) return;
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    const known = deeds.isCarrying ? carryBy(deeds, key) : doBy(deeds, key, others);
    if (known) event.preventDefault();
  });
  on(box, "focusout", () => deeds.isCarrying && deeds.settle());
}

function doBy(deeds, key, others) {
  if (ARROWS[key]) go(deeds, ...ARROWS[key]);
  else if (/^[0-9]$/.test(key)) deeds.set(Number(key));
  else if (others[key]) others[key]();
  else return false;
  return true;
}

function carryBy(deeds, key) {
  if (ARROWS[key]) {
    deeds.carryOn(...ARROWS[key]);
    say(deeds.where);
  } else if (key === "Enter" || key === "m") {
    deeds.settle();
    say(`The pile is put down. ${deeds.where}`);
  } else if (key === "Escape") {
    deeds.giveUp();
    say("The pile is back where it stood.");
  } else return !["Tab", "Shift"].includes(key);
  return true;
}

function go(deeds, down, right) {
  deeds.mark(deeds.cursor.row + down, deeds.cursor.column + right);
  say(deeds.where);
}

function lift(deeds) {
  if (deeds.lift()) say("The arrows move the pile. Enter puts it down, Escape puts it back.");
  else if (deeds.state.isOpen) say("No pile at the marked place.");
}
