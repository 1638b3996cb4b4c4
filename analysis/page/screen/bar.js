// The bar on top: units, and the way back and forth for everything, by button and by key.

import { byId, say, set } from "./dom.js";
import { Refused } from "./ask.js";

export function mountBar(draft) {
  const undo = byId("undo");
  const redo = byId("redo");
  const step = (forth) => go(draft, forth);
  undo.addEventListener("click", () => step(false));
  redo.addEventListener("click", () => step(true));
  document.addEventListener("keydown", (pressed) => {
    const forth = wanted(pressed);
    if (forth === null || pressed.defaultPrevented || isTyping(document.activeElement)) return;
    pressed.preventDefault();
    step(forth);
  });
  const show = () => {
    // aria-disabled, so that the focus stays on the button with the last step
    set(undo, "aria-disabled", draft.canUndo ? null : "true");
    set(redo, "aria-disabled", draft.canRedo ? null : "true");
    byId("file-name").textContent = draft.file?.name ?? "";
    if (draft.view) document.title = `${draft.view.title}: what if`;
  };
  draft.addEventListener("view", show);
  draft.addEventListener("refused", show);
  mountUnits(draft);
  show();
}

function mountUnits(draft) {
  const choices = [...document.querySelectorAll("#units input")];
  const show = () => choices.forEach((one) => (one.checked = one.value === draft.units));
  for (const one of choices) one.addEventListener("change", () => draft.setUnits(one.value));
  draft.addEventListener("units", show);
  show();
}

/** true: forth, false: back, null: another key. */
function wanted({ key, ctrlKey, metaKey, shiftKey, altKey }) {
  if (!(ctrlKey || metaKey) || altKey) return null;
  const letter = key.toLowerCase();
  if (letter === "z") return shiftKey;
  return letter === "y" && !shiftKey ? true : null;
}

/**
 * Whether the browser's own undo has something to undo: letters typed here since the field was entered.
 *
 * A field that was only entered leaves the keys to the page.
 */
function isTyping(element) {
  if (element?.editing) return element.editing();
  return (
    element?.matches("textarea, input:not([type=radio], [type=checkbox], [type=range], [type=file])") ?? false
  );
}

async function go(draft, forth) {
  const word = forth ? "done again" : "undone";
  if (!(forth ? draft.canRedo : draft.canUndo)) return say(`Nothing left to be ${word}.`);
  try {
    const said = await (forth ? draft.redo() : draft.undo());
    return say(
      said === null ? `Nothing left to be ${word}.` : `${forth ? "Done again" : "Undone"}: ${said}.`,
    );
  } catch (fault) {
    if (!(fault instanceof Refused)) throw fault;
    return say(fault.problems.join(" "));
  }
}
