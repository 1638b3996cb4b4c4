// Elements, texts and what a screen reader is told. Everything shown is text: nothing is read as HTML.

export const byId = (id) => document.getElementById(id);

/**
 * Make an element at the end of a parent.
 *
 * `props`: a function is listened with ("onclick", "oninput"), a boolean switches an attribute on or off,
 * null leaves it out, `value` sets what a control holds, and all others are attributes.
 */
export function put(parent, tag, text = null, props = {}) {
  const made = document.createElement(tag);
  if (text !== null && text !== undefined) made.textContent = text;
  for (const [name, value] of Object.entries(props)) set(made, name, value);
  if (parent) parent.append(made);
  return made;
}

/** Set one property as `put` does. */
export function set(element, name, value) {
  if (typeof value === "function") element.addEventListener(name.replace(/^on/, ""), value);
  else if (name === "value") element.value = value ?? "";
  else if (typeof value === "boolean" && !name.startsWith("aria-")) element.toggleAttribute(name, value);
  else if (value === null || value === undefined) element.removeAttribute(name);
  else element.setAttribute(name, value);
}

export const clear = (element) => element.replaceChildren();

/** A push button; `props` as in `put`. */
export function button(parent, text, pressed, props = {}) {
  return put(parent, "button", text, { type: "button", onclick: pressed, ...props });
}

let numbered = 0;

/** An id that no other element has. */
export const newId = (start = "e") => `${start}-${(numbered += 1)}`;

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

/** Show texts as items of a list that is there. */
export function showTexts(list, pieces) {
  for (const piece of pieces) put(list, "li", piece.text, { dir: "auto", class: classOf(piece) });
}

const classOf = (piece) => (piece.kind === "note" ? "soft" : piece.deeper ? "deeper" : null);

function showList(parent, { items, numbered }, level) {
  const list = put(parent, numbered ? "ol" : "ul", null, { class: "list" });
  for (const { text, below } of items) {
    const item = put(list, "li");
    put(item, "p", text, { dir: "auto" });
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
  const frame = put(parent, "div", null, { class: "wide", tabindex: 0, role: "region" });
  frame.setAttribute("aria-label", text || "table");
  const table = put(frame, "table");
  if (text) put(table, "caption", text);
  const [first, ...others] = head ? rows : [null, ...rows];
  const kind = (k) => (words.includes(k) ? "words" : null);
  if (first) {
    const line = put(put(table, "thead"), "tr");
    first.forEach((cell, k) =>
      cell ? put(line, "th", cell, { scope: "col", class: kind(k) }) : put(line, "td"),
    );
  }
  const across = Math.max(...rows.map((row) => row.length));
  let body = null;
  for (const row of others) {
    const isName = row.length === 1 && across > 1;
    if (!body || isName) body = put(table, "tbody");
    const line = put(body, "tr");
    if (isName) put(line, "th", row[0], { scope: "rowgroup", colspan: across, dir: "auto" });
    else
      row.forEach((cell, k) =>
        k
          ? put(line, "td", cell, { class: kind(k), dir: kind(k) && "auto" })
          : put(line, "th", cell, { scope: "row", dir: "auto" }),
      );
  }
  return frame;
}

let wait = 0;

/** Tell a screen reader what happened, without moving the focus. The last of several wins. */
export function say(text) {
  const region = byId("said");
  if (!region) return;
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
  if (!problems?.length) return;
  const list = put(element, "ul");
  for (const problem of problems) put(list, "li", problem, { dir: "auto" });
}

/** Keep the children of a list in step with some things: made once, filled at each change, removed when gone. */
export function keepInStep(list, things, make, fill) {
  while (list.children.length > things.length) list.lastElementChild.remove();
  things.forEach((thing, k) => {
    const child = list.children[k] ?? list.appendChild(make(k));
    fill(child, thing, k);
  });
}
