// Elements, texts and what a screen reader is told. Everything shown is text: nothing is read as HTML.

export const byId = (id) => document.getElementById(id);

/**
 * Make an element at the end of a parent.
 *
 * `props`: a function is listened with ("onclick", "oninput"), a boolean switches an attribute on or off,
 * null leaves it out, `value` sets what a control holds, and all others are attributes.
 */
export function put(parent, tag, text = null, props = {}) {
  return fitted(document.createElement(tag), parent, text, props);
}

export function fitted(made, parent, text, props) {
  if (text !== null && text !== undefined) made.textContent = text;
  for (const [name, value] of Object.entries(props)) set(made, name, value);
  parent?.append(made);
  return made;
}

export function set(element, name, value) {
  if (typeof value === "function") element.addEventListener(name.replace(/^on/, ""), value);
  else if (name === "value") element.value = value ?? "";
  else if (typeof value === "boolean" && !name.startsWith("aria-")) element.toggleAttribute(name, value);
  else if (value === null || value === undefined) element.removeAttribute(name);
  else element.setAttribute(name, value);
}

export const clear = (element) => element.replaceChildren();

/** Change a text only where it differs: what is read aloud or selected stays as it is. */
export function fillText(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/** A push button; `props` as in `put`. */
export function button(parent, text, pressed, props = {}) {
  return put(parent, "button", text, { type: "button", onclick: pressed, ...props });
}

export const buttonRow = (parent) => put(parent, "div", null, { class: "buttons" });

/** A box that opens at a click on its title. */
export function details(parent, title, props = {}) {
  const box = put(parent, "details", null, props);
  put(box, "summary", title);
  return box;
}

export function paragraphs(parent, texts, props = {}) {
  for (const text of texts) put(parent, "p", text, { dir: "auto", ...props });
}

let numbered = 0;

export const newId = (start = "e") => `${start}-${(numbered += 1)}`;

/** A control with its label, in a box of their own: {box, label, input}. */
export function labelled(parent, text, tag, props = {}, kind = "field") {
  const id = newId("field");
  const box = put(parent, "div", null, { class: kind });
  return { box, label: put(box, "label", text, { for: id }), input: put(box, tag, null, { id, ...props }) };
}

/** Do something at each of some events ("view units") of a thing. */
export function on(thing, names, work) {
  for (const name of names.split(" ")) thing.addEventListener(name, work);
}

export class Teller extends EventTarget {
  tell(name, detail = null) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }
}

/** Show the blocks of a document (analysis/document/values.py): headings of the given level, texts, lists, tables. */
export function showPieces(parent, pieces, level = 3) {
  for (const piece of pieces ?? []) {
    if (piece.kind === "heading") put(parent, `h${level}`, piece.text, { dir: "auto" });
    else if (piece.kind === "table") showTable(parent, piece);
    else if (piece.kind === "list") showList(parent, piece, level);
    else if (piece.kind === "code") put(parent, "pre", piece.lines.join("\n"), { dir: "auto" });
    else put(parent, "p", piece.text, { dir: "auto", class: classOf(piece) });
  }
}

/** Texts, the first among them, as a list of what was understood. */
export function showUnderstood(parent, pieces, props = {}) {
  const list = put(parent, "ul", null, { class: "understood", ...props });
  for (const piece of pieces) put(list, "li", piece.text, { dir: "auto", class: classOf(piece) });
}

const classOf = (piece) => (piece.kind === "note" ? "soft" : piece.deeper ? "deeper" : null);

function showList(parent, { items, numbered }, level) {
  const list = put(parent, numbered ? "ol" : "ul", null, { class: "list" });
  for (const { text, below } of items) {
    const item = put(list, "li");
    paragraphs(item, [text]);
    showPieces(item, below, level);
  }
}

/**
 * Show a table in a frame of its own, which the keyboard can push sideways.
 *
 * `head`: the first row names the columns; `words`: numbers of columns that hold words. A row of one cell names
 * the rows below it.
 */
export function showTable(parent, { rows, head, words = [], text = "" }) {
  const props = { class: "wide", tabindex: 0, role: "region", "aria-label": text || "table" };
  const table = put(put(parent, "div", null, props), "table");
  if (text) put(table, "caption", text);
  const [first, ...others] = head ? rows : [null, ...rows];
  const kind = (k) => (words.includes(k) ? "words" : null);
  if (first) {
    const line = put(put(table, "thead"), "tr");
    first.forEach((cell, k) => put(line, cell ? "th" : "td", cell, cell ? { scope: "col", class: kind(k) } : {}));
  }
  const across = Math.max(...rows.map((row) => row.length));
  let body = null;
  for (const row of others) {
    const isName = row.length === 1 && across > 1;
    if (!body || isName) body = put(table, "tbody");
    const line = put(body, "tr");
    const head = isName ? { scope: "rowgroup", colspan: across } : { scope: "row" };
    put(line, "th", row[0], { ...head, dir: "auto" });
    row.slice(1).forEach((cell, k) => put(line, "td", cell, { class: kind(k + 1), dir: kind(k + 1) && "auto" }));
  }
}

let wait = 0;

/** Tell a screen reader what happened, without moving the focus. The last of several wins. */
export function say(text) {
  const region = byId("said");
  region.textContent = "";
  clearTimeout(wait);
  // a text that is the same as before is read again only when the region was empty in between
  wait = setTimeout(() => (region.textContent = text), 60);
}

/** Show problems as a list in an element; none empties and hides it. */
export function showProblems(element, problems) {
  clear(element);
  element.classList.add("problems");
  element.hidden = !problems?.length;
  if (element.hidden) return;
  const list = put(element, "ul");
  for (const problem of problems) put(list, "li", problem, { dir: "auto" });
}

export const problemBox = (parent, props = {}) => put(parent, "div", null, { hidden: true, ...props });

/** Keep the children of a list in step with some things: made once, filled at each change, removed when gone. */
export function keepInStep(list, things, make, fill = fillText) {
  while (list.children.length > things.length) list.lastElementChild.remove();
  things.forEach((thing, k) => fill(list.children[k] ?? list.appendChild(make(k)), thing, k));
}

export const keepTexts = (box, texts) => keepInStep(box, texts, () => put(null, "p", null, { dir: "auto" }));
