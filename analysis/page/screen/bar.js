// The bar on top: units, and the way back and forth for everything, by button and by key.

import { refusal } from "./ask.js";
import { byId, on, say, set } from "./dom.js";

export function mountBar(draft) {
  const undo = byId("undo");
  const redo = byId("redo");
  on(undo, "click", () => go(draft, false));
  on(redo, "click", () => go(draft, true));
  document.addEventListener("keydown", (pressed) => {
    const forth = wanted(pressed);
    if (forth === null || pressed.defaultPrevented || isTyping(document.activeElement)) return;
    pressed.preventDefault();
    go(draft, forth);
  });
  const show = () => {
    // aria-disabled, so that the focus stays on the button with the last step
    set(undo, "aria-disabled", draft.canUndo ? null : "true");
    set(redo, "aria-disabled", draft.canRedo ? null : "true");
    if (!draft.view) return;
    byId("tank-name").textContent = draft.view.title;
    set(byId("tank-name"), "title", draft.file.name);
    document.title = `${draft.view.title}: what if`;
  };
  on(draft, "view refused", show);
  mountUnits(draft);
  show();
}

function mountUnits(draft) {
  const choices = [...document.querySelectorAll("#units input")];
  const show = () => choices.forEach((one) => (one.checked = one.value === draft.units));
  for (const one of choices) on(one, "change", () => draft.setUnits(one.value));
  on(draft, "units", show);
  show();
}

/** true: forth, false: back, null: another key. */
function wanted({ key, ctrlKey, metaKey, shiftKey, altKey }) {
  if (!(ctrlKey || metaKey) || altKey) return null;
  const letter = key.toLowerCase();
  if (letter === "z") return shiftKey;
  return letter === "y" && !shiftKey ? true : null;
}

/** Whether the browser's own undo has letters to undo here; a field that was only entered leaves the keys to the page. */
function isTyping(element) {
  if (element?.editing) return element.editing();
  const none = "[type=radio], [type=checkbox], [type=range], [type=file]";
  return element?.matches(`textarea, input:not(${none})`) ?? false;
}

async function go(draft, forth) {
  let told = `Nothing left to ${forth ? "redo" : "undo"}.`;
  const fault = await refusal(async () => {
    const said = await (forth ? draft.redo() : draft.undo());
    if (said !== null) told = `${forth ? "Redone" : "Undone"}: ${said}.`;
  });
  say(fault ? fault.message : told);
}
