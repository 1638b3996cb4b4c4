// What happens when: marks on the days that can be moved and taken out, months of a life, and the sheet to add more.

import { refusal } from "./ask.js";
import { button, buttonRow, clear, fillText, keepInStep, labelled, on, put, say, set, showProblems, problemBox } from "./dom.js";
import { FORMS, valuesOf } from "./timeline_kinds.js";
import { opener } from "./sheets.js";

const MOVED = 6; // px from which on it is a drag
const STEPS = { ArrowLeft: -1, ArrowRight: 1, PageUp: -7, PageDown: 7 };

const isChangeable = (one) => one.row !== null || one.stock !== null;

async function change(draft, changes, said, problems = null) {
  const fault = await refusal(() => draft.edit(changes, said));
  if (problems) showProblems(problems, fault?.problems ?? []);
  else if (fault) draft.tell("news", fault.problems);
  if (!fault) say(`${said}. Undo takes it back.`);
  return !fault;
}

/** Move a thing to another day: of an event its day, of fish that go in later the day of their row. */
export function moveTo(draft, one, day) {
  const value = Math.max(0, Math.round(day));
  const to = one.stock === null ? { do: "event", row: one.row, field: "day", value } : { do: "row", row: one.stock, field: one.field, value: value || null };
  return change(draft, [to], `${one.text}: now after day ${value}`);
}

/** Take it out of the file; fish that go in later go in at once, those that are taken out stay. */
export function takeOut(draft, one) {
  const gone = one.stock === null ? { do: "drop event", row: one.row } : { do: "row", row: one.stock, field: one.field, value: null };
  return change(draft, [gone], one.stock !== null && one.field === "day" ? `${one.text}: from the beginning` : `${one.text}: no longer`);
}

// ---- marks on the days

/** Let the marks of the days be dragged by mouse and finger, moved by Shift and arrows, taken out by Delete. */
export function handleMarks(days, { stage }) {
  const { draft } = stage;
  const of = (target) => {
    const mark = target.closest?.(".mark");
    const those = mark ? (draft.view?.events ?? []).filter((one) => isChangeable(one) && one.days.some((day) => Math.floor(day) === Number(mark.dataset.day))) : [];
    return { mark, those };
  };
  const moved = async (those, from, to) => {
    for (const one of those) {
      const first = one.days[0] + (to - from); // one that is done again and again moves as a whole
      if (!(await moveTo(draft, one, first))) return;
      if (those.length > 1) return; // rows may stand otherwise now: one at a time
    }
  };
  on(days.marks, "pointerdown", (event) => {
    const { mark, those } = of(event.target);
    if (!those.length || event.button !== 0) return;
    const from = Number(mark.dataset.day);
    const begun = event.clientX;
    mark.setPointerCapture(event.pointerId);
    const given = new AbortController();
    const listen = (name, work) => mark.addEventListener(name, work, { signal: given.signal });
    let isDragged = false;
    listen("pointermove", (at) => {
      isDragged ||= Math.abs(at.clientX - begun) > MOVED;
      if (isDragged) mark.style.left = `${(100 * (days.dayAt(at.clientX) + 0.5)) / days.span}%`;
    });
    listen("pointerup", (at) => {
      given.abort();
      const to = days.dayAt(at.clientX);
      if (!isDragged) return;
      mark.addEventListener("click", (click) => click.stopImmediatePropagation(), { capture: true, once: true });
      if (to === from) days.show();
      else moved(those, from, to).then(() => days.show());
    });
    listen("pointercancel", () => {
      given.abort();
      days.show();
    });
  });
  on(days.marks, "keydown", (event) => {
    const { mark, those } = of(event.target);
    if (!those.length) return;
    const from = Number(mark.dataset.day);
    if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      takeOut(draft, those[0]).then(() => days.range.focus());
    } else if (event.shiftKey && STEPS[event.key]) {
      event.preventDefault();
      const to = Math.max(0, Math.min(days.span - 1, from + STEPS[event.key]));
      moved(those, from, to).then(() => days.marks.querySelector(`[data-day="${to}"]`)?.focus());
    }
  });
}

// ---- the months of a life, below the days

/** A month a cell, as dark as it is hard on the worst off, and what rules of thumb did. */
export class Months {
  constructor(box, draft) {
    this.box = put(box, "div", null, { class: "months", hidden: true });
    this.of = put(this.box, "p", null, { class: "soft" });
    this.cells = put(this.box, "ol", null, { class: "month-cells" });
    this.deeds = put(this.box, "ul", null, { class: "soft" });
    this.life = null;
    on(draft, "life", ({ detail }) => this.show(detail));
    on(draft, "view", () => this.#fade(draft));
  }

  show(life) {
    this.life = life;
    this.box.hidden = !life;
    if (!life) return;
    this.box.classList.remove("stale");
    fillText(this.of, `${life.whom}, month by month: kept of the swimming about they would do if left alone`);
    keepInStep(this.cells, life.months, () => put(null, "li"), (cell, one) => {
      fillText(cell, `${Math.round(100 * one.kept)} %`);
      set(cell, "title", one.said);
      set(cell, "aria-label", one.said);
      set(cell, "data-word", one.word);
      cell.style.setProperty("--kept", Math.max(0, Math.min(1, one.kept)));
    });
    keepInStep(this.deeds, life.deeds, () => put(null, "li", null, { dir: "auto" }), (item, one) => fillText(item, one.text));
  }

  #fade(draft) {
    this.box.hidden = !this.life || !draft.view?.time?.months;
    this.box.classList.add("stale");
  }
}

// ---- the sheet

export function mountTimeline(parent, draft) {
  put(parent, "p", "What is dated, and rules of thumb. On the days below the tank a mark can be dragged to another day; with the keyboard Shift and an arrow move it, Delete takes it out.", { class: "soft" });
  const how = put(parent, "p", null, { class: "soft" });
  const list = put(parent, "ol", null, { class: "happens" });
  const none = put(parent, "p", "Nothing yet.", { class: "soft" });
  const problems = problemBox(parent);
  on(draft, "view", () => {
    const events = draft.view?.events ?? [];
    none.hidden = events.length > 0;
    keepInStep(list, events, () => madeLine(draft, problems), (line, one) => line.fill(one));
    const { months } = draft.view?.time ?? {};
    const told = months ? `It reaches over ${months} month${months === 1 ? "" : "s"}, so \u201cTry it\u201d lets each tank live through them in blocks of days, as rockshy run does.` : "Up to four weeks every day is simulated second by second; what is dated later makes it a life of months, in blocks of days.";
    fillText(how, told);
  });
  mountAdd(parent, draft);
}

function madeLine(draft, problems) {
  const line = put(null, "li", null, { class: "lined" });
  const text = put(line, "p", null, { dir: "auto" });
  const tools = buttonRow(line);
  const field = labelled(tools, "After day", "input", { type: "number", min: 0, step: 1 });
  const out = button(tools, "Take out", () => takeOut(draft, line.one));
  const fixed = put(line, "p", "It stands with the tank as it is; show that to change it.", { class: "soft" });
  on(field.input, "change", () => {
    const day = Number(field.input.value);
    showProblems(problems, []);
    if (field.input.value !== "" && Number.isFinite(day)) moveTo(draft, line.one, day);
  });
  line.fill = (one) => {
    line.one = one;
    fillText(text, `${one.rule ? "Rule" : "After"} ${one.when}: ${one.text}.`);
    if (document.activeElement !== field.input) field.input.value = one.days[0];
    set(field.input, "aria-label", `After which day: ${one.text}`);
    set(out, "aria-label", `Take out: ${one.text}`);
    tools.hidden = !isChangeable(one);
    fixed.hidden = isChangeable(one);
  };
  return line;
}

function mountAdd(parent, draft) {
  put(parent, "h3", "Put in");
  const form = put(parent, "form", null, { class: "add-event", novalidate: true });
  const kind = labelled(form, "What happens", "select").input;
  for (const [key, one] of Object.entries(FORMS)) put(kind, "option", one.said, { value: key });
  const fields = put(form, "div", null, { class: "buttons" });
  const note = put(form, "p", null, { class: "soft" });
  const problems = problemBox(form);
  put(form, "button", "Put in", { type: "submit", class: "main" });
  let inputs = {};
  const show = () => {
    inputs = {};
    clear(fields);
    for (const one of FORMS[kind.value].fields) inputs[one.key] = madeField(fields, one, draft);
    fillText(note, FORMS[kind.value].note ?? "");
  };
  on(kind, "change", show);
  on(draft, "view", () => fillFish(inputs, draft));
  on(form, "submit", async (event) => {
    event.preventDefault();
    const typed = Object.fromEntries(Object.entries(inputs).map(([key, input]) => [key, input.value.trim()]));
    const form = FORMS[kind.value];
    if (await change(draft, [{ do: "add event", values: valuesOf(form, typed) }], `${form.said} put in`, problems)) show();
  });
  show();
}

function madeField(parent, { key, label, kind = "text", value = "", choices = [], hint = "" }, draft) {
  const isChoice = kind === "choice" || kind === "fish";
  const { input } = labelled(parent, label, isChoice ? "select" : "input", isChoice ? {} : { type: kind === "number" ? "number" : "text", value, placeholder: hint });
  for (const one of choices) put(input, "option", one, { value: one });
  set(input, "data-event", key);
  if (kind === "fish") fillFish({ [key]: Object.assign(input, { first: choices }) }, draft);
  return input;
}

/** The fish that can be meant: each by itself, and all of a species. */
function fillFish(inputs, draft) {
  for (const input of Object.values(inputs)) {
    if (!input.first) continue;
    const was = input.value;
    clear(input);
    const names = [...input.first];
    const count = {};
    for (const row of draft.view?.stock ?? []) {
      if (!names.includes(row.species)) names.push(row.species);
      for (const [field, sex] of [["males", "male"], ["females", "female"], ["unsexed", "unsexed"]]) {
        for (let k = 0; k < (row[field] ?? 0); k += 1) {
          const key = `${row.species} ${sex}`;
          count[key] = (count[key] ?? 0) + 1;
          names.push(`${key} ${count[key]}`);
        }
      }
    }
    for (const one of names) put(input, "option", one, { value: one });
    if (names.includes(was)) input.value = was;
  }
}

export const timelineOpener = (parent) => opener(parent, "What happens when", "happens", { class: "small" });
