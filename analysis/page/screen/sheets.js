// What opens over the tank and closes again: one sheet at a time, named by its heading, closed by Escape.

import { button, byId, on, put } from "./dom.js";

let from = null; // what had the focus when the sheet was opened

/** A sheet at the end of the page; `kind`: "wide" for tables and films. The box to be filled. */
export function sheet(id, title, kind = "") {
  const head = `${id}-head`;
  const made = put(byId("sheets"), "dialog", null, { id, class: `sheet ${kind}`, "aria-labelledby": head });
  const top = put(made, "div", null, { class: "dialog-head" });
  put(top, "h2", title, { id: head, tabindex: -1 });
  button(top, "Close", () => close(made));
  return put(made, "div", null, { id: `${id}-box` });
}

export const isOpen = (id) => byId(id)?.open ?? false;

/** Open a sheet and put the focus on its heading, or on `focus` within it. */
export function open(id, focus = null) {
  const wanted = byId(id);
  if (!wanted) return;
  const other = document.querySelector("dialog.sheet[open]");
  if (other !== wanted) {
    if (!other) from = document.activeElement;
    other?.close();
    wanted.show();
    document.dispatchEvent(new CustomEvent("sheet", { detail: id }));
  }
  (focus ?? byId(`${id}-head`)).focus({ preventScroll: focus === null });
}

function close(one) {
  const back = from;
  one.close();
  document.dispatchEvent(new CustomEvent("sheet", { detail: null }));
  if (back?.isConnected && back.checkVisibility()) back.focus();
  else byId("title-of-page").focus();
}

/** A button that opens a sheet. */
export const opener = (parent, text, id, props = {}) =>
  button(parent, text, () => open(id), { "aria-haspopup": "dialog", "data-opens": id, ...props });

on(document, "keydown", (event) => {
  const shown = document.querySelector("dialog.sheet[open]");
  if (event.key !== "Escape" || event.defaultPrevented || !shown || document.querySelector("dialog:modal")) return;
  event.preventDefault();
  close(shown);
});
