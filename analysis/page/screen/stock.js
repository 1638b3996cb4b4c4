// The stock as a list of rows; each is one species, or one party of it.

import { button, buttonRow, clear, details, keepInStep, on, paragraphs, problemBox, put, say, set } from "./dom.js";
import { actButton, attempt, TextField } from "./field.js";
import { rangeText, typedValue } from "./units.js";

const WHOLE = { inputmode: "numeric", class: "of-whole" };
const COUNTS = ["males", "females", "unsexed"];
const MORE = ["holding", "length", "day", "out"];

const NOTHING = ["unsexed", "holding", "day"]; // 0 of these is not worth a sign

function textOf(row, field, units) {
  if (field === "species") return row.written ?? row.species ?? "";
  if (field === "length") return rangeText(row.length, units);
  return NOTHING.includes(field) && row[field] === 0 ? "" : String(row[field] ?? "");
}

export class Stock {
  constructor(parent, draft, names, openSpecies) {
    Object.assign(this, { draft, names, openSpecies });
    this.list = put(parent, "ol", null, { class: "stock", "aria-label": "Stock" });
    this.none = put(parent, "p", "No fish yet.", { class: "soft", hidden: true });
    on(draft, "view units", () => this.show());
  }

  show() {
    const rows = this.draft.view?.stock ?? [];
    keepInStep(this.list, rows, (k) => this.#made(k), (line, row) => this.#fill(line, row));
    this.none.hidden = rows.length > 0;
  }

  #made(k) {
    const line = put(null, "li");
    const group = put(line, "fieldset");
    line.legend = put(group, "legend", null, { class: "unseen" });
    line.fields = {};
    const main = put(group, "div", null, { class: "row" });
    line.fields.species = this.#field(main, line, k, "species", {
      whole: (typed) => this.names.keyOf(typed) !== null,
      props: { list: this.names.listId, class: "of-species" },
    });
    for (const name of COUNTS) line.fields[name] = this.#count(main, line, k, name);
    this.#makeMore(group, line, k);
    return line;
  }

  #makeMore(group, line, k) {
    const below = put(group, "div", null, { class: "under" });
    line.common = put(below, "bdi", null, { class: "common" });
    const open = () => this.openSpecies(line.row.species);
    line.about = button(below, "What is assumed about it", open, { class: "link" });
    line.more = details(below, "More");
    const others = put(line.more, "div", null, { class: "row more" });
    line.fields.holding = this.#count(others, line, k, "holding");
    for (const name of MORE.slice(1)) line.fields[name] = this.#field(others, line, k, name);
    line.drop = actButton(below, "Take out", () => this.#drop(line), { class: "link" });
  }

  #count(parent, line, k, name) {
    return this.#field(parent, line, k, name, { props: WHOLE });
  }

  #field(parent, line, k, name, how = {}) {
    const label = this.draft.label(`stock.${name}`);
    const kind = { species: "text", length: "length" }[name] ?? "number";
    return new TextField(parent, this.draft, {
      place: `row.${k}.${name}`,
      label,
      props: { class: `of-${kind}` },
      ...how,
      write: (typed, way) => {
        const value = typedValue(kind, typed, this.draft.units);
        const said = `${label} of ${line.row.species || "a row"}: ${value ?? "emptied"}`;
        return this.draft.edit([{ do: "row", row: line.row.row, field: name, value }], said, way);
      },
    });
  }

  #fill(line, row) {
    line.row = row;
    const name = row.species || row.written || "no species yet";
    line.legend.textContent = `Row ${row.row + 1}: ${name}`;
    for (const [field, shown] of Object.entries(line.fields)) {
      shown.show(textOf(row, field, this.draft.units), row.problems?.[field] ?? []);
    }
    line.common.textContent = row.common ?? "";
    line.common.hidden = !row.common || row.common === row.written;
    line.about.hidden = !row.species;
    set(line.about, "aria-label", `What is assumed about it: ${name}`);
    set(line.drop, "aria-label", `Take out of the list: row ${row.row + 1}, ${name}`);
    this.#sayMore(line, row);
  }

  /** What stands under "More" is said in its title, and opened where something is wrong with it. */
  #sayMore(line, row) {
    const told = MORE.flatMap((field) => {
      const text = textOf(row, field, this.draft.units);
      return text === "" ? [] : [`${this.draft.label(`stock.${field}`).toLowerCase()} ${text}`];
    });
    line.more.firstChild.textContent = told.length ? `More: ${told.join(", ")}` : "More";
    if (MORE.some((field) => row.problems?.[field]?.length)) line.more.open = true;
  }

  async #drop(line) {
    const { row } = line;
    const at = [...this.list.children].indexOf(line);
    for (const place of Object.keys(this.draft.typed)) {
      if (place.startsWith(`${this.draft.which} row.`)) this.draft.keepTyped(place, null);
    }
    const said = `${row.species || "a row"} taken out of the list`;
    await this.draft.edit([{ do: "drop row", row: row.row }], said);
    say(`${row.species || "The row"} is out of the list.`);
    const next = this.list.children[at] ?? this.list.lastElementChild;
    (next?.fields.species.input ?? document.querySelector("[data-add]"))?.focus();
  }
}

/** The line in which a new row is typed; it goes into the file as a whole. */
export function mountAdd(parent, draft, names) {
  const form = put(parent, "form", null, { class: "add", "aria-label": "Add fish" });
  const problems = problemBox(null);
  const row = put(form, "div", null, { class: "row" });
  const kept = (name, label, props) => new TextField(row, draft, { place: `add.${name}`, label, props });
  const props = { list: names.listId, class: "of-species", "data-add": "" };
  const fields = { species: kept("species", "Add a species, by either name", props) };
  for (const name of COUNTS) fields[name] = kept(name, "", WHOLE);
  on(draft, "view", () => {
    for (const count of COUNTS) fields[count].label.textContent = draft.label(`stock.${count}`);
  });
  put(form, "button", "Add to the stock", { type: "submit" });
  form.append(problems);
  on(form, "submit", (event) => {
    event.preventDefault();
    attempt({ problems }, () => add(draft, fields, problems));
  });
}

async function add(draft, fields, problems) {
  const values = {};
  for (const [name, field] of Object.entries(fields)) {
    const value = typedValue(name === "species" ? "text" : "whole", field.text, draft.units);
    if (value !== null) values[name] = typeof value === "string" ? value.trim() : value;
  }
  if (!values.species) return fields.species.input.focus();
  await draft.edit([{ do: "add row", values }], `${values.species} added`);
  problems.hidden = true;
  Object.values(fields).forEach((field) => field.empty());
  say(`${values.species} is in the list.`);
  return fields.species.input.focus();
}

export function mountPaste(parent, draft) {
  const more = details(parent, "Paste a list");
  const columns = "the first names the columns: species, males, females, unsexed, length";
  const label = `Rows as copied from a spreadsheet; ${columns}. Or a line for each: 1m3f yellow lab, 6 acei 3 in`;
  const field = new TextField(more, draft, { place: "paste", label, area: "textarea", props: { rows: 5 } });
  const said = put(null, "div", null, { class: "told" });
  const row = buttonRow(more);
  const send = async (instead) => {
    const { said: told, left } = await draft.paste(field.text, instead);
    clear(said);
    paragraphs(said, told);
    field.empty(left);
    say(told.join(" "));
  };
  on(field.input, "input", () => {
    // what was said of a text that is gone goes with it
    if (field.text.trim()) return;
    clear(said);
    for (const one of row.querySelectorAll(".problems")) one.hidden = true;
  });
  actButton(row, "Add these rows", () => send(false));
  actButton(row, "Replace all rows", () => send(true));
  more.append(said);
}
