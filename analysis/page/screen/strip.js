// The narrow strip to build from: the tank and its rock in a line each, the fish with plus and minus, species to drag in.

import { button, fillText, keepInStep, on, paragraphs, put, say, set } from "./dom.js";
import { carry, putFish } from "./carry.js";
import { TextField } from "./field.js";
import { opener } from "./sheets.js";
import { addSpecies, addTyped, dropRow, fishOf, setDay, SEXES, step } from "./stocking.js";
import { CM, tenths, unitOf } from "./units.js";

const OFFERED = 7; // species on the shelf at once
// grazers of rock that are kept often (common practice, no source), for a shelf on which nothing is typed
const GRAZERS = {
  Tanganyika: ["Tropheus", "Petrochromis", "Simochromis", "Pseudosimochromis", "Eretmodus", "Spathodus"],
  Malawi: ["Labidochromis", "Maylandia", "Pseudotropheus", "Chindongo", "Iodotropheus", "Labeotropheus", "Cynotilapia"],
};

export function mountStrip(parent, { draft, names, stage, species }) {
  mountTank(parent, draft, stage);
  const list = put(parent, "ol", null, { class: "fish-rows", "aria-label": "Fish in the tank" });
  const none = put(parent, "p", "No fish yet. Type the first, or drag one in.", { class: "soft none" });
  mountAdd(parent, draft, names, stage);
  const more = put(parent, "div", null, { class: "buttons" });
  opener(more, "All fields, paste a list", "fish", { class: "link" });
  opener(more, "What could live here?", "wishes", { class: "link" });
  const show = () => {
    const rows = draft.view?.stock ?? [];
    keepInStep(list, rows, () => madeRow({ draft, names, stage, species }), (line, row) => line.fill(row));
    none.hidden = rows.length > 0 || !draft.view;
  };
  on(draft, "view", show);
}

// ---- the tank and its rock

function mountTank(parent, draft, stage) {
  const box = put(parent, "div", null, { class: "of-tank" });
  const which = put(box, "div", null, { class: "which", role: "group", "aria-label": "Which tank is shown" });
  const tank = opener(box, "Tank", "tank", { class: "line" });
  const rock = opener(box, "Rock", "rock", { class: "line" });
  on(draft, "view units", () => {
    const { fields = {}, rock: told = {} } = draft.view ?? {};
    const sides = ["length", "front_to_back", "height"].map((side) => fields[`tank.${side}`]?.value);
    const numbers = sides.map((cm) => (Number.isFinite(cm) ? String(tenths(cm / CM[draft.units])) : "?"));
    fillText(tank, `Tank ${numbers.join(" \u00d7 ")} ${unitOf("length", draft.units)}`);
    const cover = fields["rock.cover"]?.value;
    const kinds = { none: "none yet", sketch: "as you placed it", drawn: `${Math.round(100 * (cover ?? 0))} % of the floor` };
    fillText(rock, `Rock: ${kinds[told.kind] ?? ""}`);
    showWhich(which, draft, stage);
  });
}

/** The tank and its copies, once there is one: which is shown, or all beside one another. */
function showWhich(box, draft, stage) {
  const all = draft.view?.names ?? [];
  const wanted = all.length > 1 ? [...all, "Side by side"] : [];
  const make = (k) => button(null, "", () => choose(k), { class: "small" });
  const choose = (k) => {
    const isBeside = k === draft.view.names.length;
    stage.setBeside(isBeside);
    if (!isBeside && k !== draft.which) draft.show(k).catch(() => {});
    else draft.tell("view", { cause: "show" });
  };
  keepInStep(box, wanted, make, (one, text, k) => {
    fillText(one, text);
    set(one, "dir", "auto");
    set(one, "aria-pressed", String(k === all.length ? stage.isBeside : !stage.isBeside && k === draft.which));
  });
  if (!box.beside) box.beside = opener(box.parentElement, "Change a copy", "copies", { class: "link" });
}

// ---- a row

function madeRow({ draft, names, stage, species }) {
  const line = put(null, "li");
  const top = put(line, "div", null, { class: "fish-name" });
  const hold = put(top, "span", null, { class: "hold", "aria-hidden": "true", title: "Drag onto a day to put it in later" });
  const name = button(top, "", () => line.row.species && species.open(line.row.species), { class: "link" });
  const out = button(top, "\u00d7", () => dropRow(draft, line.row, line.called), { class: "small out" });
  const counts = put(line, "div", null, { class: "counts" });
  const steppers = Object.entries(SEXES).map(([field, [sign, word]]) => madeStepper(counts, draft, line, { field, sign, word }));
  const told = put(line, "p", null, { class: "soft" });
  const wrong = put(line, "div", null, { class: "problems" });
  on(hold, "pointerdown", (event) => {
    event.preventDefault();
    const { row, called } = line;
    const isDay = (target) => Boolean(target?.closest?.("#days"));
    carry(event, {
      text: called,
      colours: line.colours,
      over: (target) => (isDay(target) ? "day" : isBeside(target) ? "" : "out"),
      drop: (target, { clientX }) => {
        if (isDay(target)) return setDay(draft, row, stage.days.dayAt(clientX), called);
        if (!isBeside(target)) dropRow(draft, row, called);
        return null;
      },
    });
  });
  line.fill = (row) => {
    const known = draft.begun.species.find((one) => one.key === row.species);
    Object.assign(line, { row, called: row.written || row.species || "no species yet" });
    line.colours = coloursOf(known, 1);
    if (line.key !== row.species) hold.replaceChildren();
    if (!hold.children.length) {
      putFish(hold, coloursOf(known, 1), 30);
      if (known && String(known.colours[0]) !== String(known.colours[1])) putFish(hold, coloursOf(known, 0), 30);
    }
    line.key = row.species;
    fillText(name, line.called);
    set(name, "title", row.species ? `${row.species}: what is assumed about it` : null);
    set(out, "aria-label", `Take out: all ${line.called}`);
    steppers.forEach((one) => one.fill(row));
    const days = [row.day ? `in after day ${row.day}` : "", row.out !== null && row.out !== undefined ? `out on day ${row.out}` : ""];
    fillText(told, days.filter(Boolean).join(", "));
    const problems = Object.values(row.problems ?? {}).flat();
    wrong.replaceChildren();
    paragraphs(wrong, problems);
    told.hidden = !told.textContent;
    wrong.hidden = !problems.length;
  };
  return line;
}

const isBeside = (target) => Boolean(target?.closest?.("#strip, #stage"));
const coloursOf = (known, male) => {
  const [body, second] = known?.colours?.[male] ?? [];
  return { body, second };
};

function madeStepper(parent, draft, line, { field, sign, word }) {
  const box = put(parent, "span", null, { class: "stepper", role: "group" });
  const press = (by) => step(draft, line.row, field, by, line.called);
  const fewer = button(box, "\u2212", () => press(-1), { class: "small" });
  const count = put(box, "span", null, { class: "count" });
  const more = button(box, "+", () => press(1), { class: "small" });
  return {
    fill(row) {
      const value = row[field] ?? 0;
      // unsexed fish are rare: their count shows where there are any, or nothing else is counted
      box.hidden = field === "unsexed" && !value && fishOf(row) > 0;
      fillText(count, `${sign} ${value}`);
      set(box, "aria-label", `${line.called}: ${value} ${word}${value === 1 || field === "unsexed" ? "" : "s"}`);
      set(fewer, "aria-label", `One ${word} of ${line.called} fewer`);
      set(more, "aria-label", `One ${word} of ${line.called} more`);
      fewer.disabled = !(value > 0);
    },
  };
}

// ---- fish put in

function mountAdd(parent, draft, names, stage) {
  const form = put(parent, "form", null, { class: "put-in" });
  const field = new TextField(form, draft, { place: "put in", label: "Put fish in", props: { id: "put-in" } });
  set(field.label, "for", "put-in");
  field.input.placeholder = "1m 3f duboisi";
  put(form, "button", "Put in", { type: "submit" });
  const shelf = put(parent, "ul", null, { class: "shelf", "aria-label": "Species to put in" });
  on(form, "submit", async (event) => {
    event.preventDefault();
    if (!field.text.trim()) return field.input.focus();
    if (await addTyped(draft, field.text, names)) return null;
    field.empty();
    show();
    return field.input.focus();
  });
  const show = () => {
    const found = offered(draft, field.text);
    keepInStep(shelf, found, () => madeChip(draft, stage), (chip, one) => chip.fill(one));
  };
  on(field.input, "input", show);
  on(draft, "view", show);
}

/** Species whose name holds what is typed, else some grazers of rock; first those of the lake of the stock, which are left out. */
function offered(draft, typed) {
  const words = typed.toLowerCase().replace(/[^a-z ]+|\b\d*[mfu]\b/g, " ").trim();
  const rows = draft.view?.stock ?? [];
  const there = new Set(rows.map((row) => row.species));
  const all = draft.begun.species.filter((one) => !there.has(one.key));
  const holds = (one) => [one.key, ...one.common].some((name) => name.toLowerCase().includes(words));
  const lake = lakeOf(draft.begun.species, rows);
  if (!words) return usual(all, lake ?? "Tanganyika").slice(0, OFFERED);
  const isElsewhere = (one) => Number(Boolean(lake) && one.lake !== lake);
  return all.filter(holds).sort((a, b) => isElsewhere(a) - isElsewhere(b)).slice(0, OFFERED);
}

/** The lake that most of the fish are of; undefined before there are any. */
function lakeOf(all, rows) {
  const counted = new Map();
  for (const row of rows) {
    const { lake } = all.find((one) => one.key === row.species) ?? {};
    if (lake) counted.set(lake, (counted.get(lake) ?? 0) + fishOf(row));
  }
  return [...counted.keys()].sort((a, b) => counted.get(b) - counted.get(a))[0];
}

/** Grazers of rock of a lake, one of each genus before the second of any, those with most names first. */
function usual(all, lake) {
  const genera = GRAZERS[lake].map((genus) => all.filter((one) => one.key.startsWith(`${genus} `)));
  for (const those of genera) those.sort((a, b) => b.common.length - a.common.length);
  const longest = Math.max(...genera.map((those) => those.length));
  return Array.from({ length: longest }, (_, k) => genera.map((those) => those[k])).flat().filter(Boolean);
}

function madeChip(draft, stage) {
  const item = put(null, "li");
  const chip = button(item, "", (event) => item.wasCarried || event.detail === undefined || addSpecies(draft, item.one.key), { class: "chip" });
  const hold = put(chip, "span", null, { class: "hold", "aria-hidden": "true" });
  const text = put(chip, "span");
  on(chip, "pointerdown", (event) => {
    item.wasCarried = false;
    const from = [event.clientX, event.clientY];
    const given = new AbortController();
    const { signal } = given;
    window.addEventListener("pointerup", () => given.abort(), { signal });
    window.addEventListener("pointermove", (moved) => {
      if (Math.hypot(moved.clientX - from[0], moved.clientY - from[1]) < 6) return;
      given.abort();
      item.wasCarried = true;
      bringIn(draft, stage, item.one, moved);
    }, { signal });
  });
  item.fill = (one) => {
    if (item.one?.key === one.key) return;
    item.one = one;
    hold.replaceChildren();
    putFish(hold, coloursOf(one, 1), 26);
    fillText(text, one.common[0] ?? one.key);
    set(chip, "title", `${one.key}: click to put one in, or drag it into the tank or onto a day`);
  };
  return item;
}

function bringIn(draft, stage, one, event) {
  const where = (target) => (target?.closest?.("#days") ? "day" : target?.closest?.("#stage") ? "in" : "");
  carry(event, {
    text: one.common[0] ?? one.key,
    colours: coloursOf(one, 1),
    over: where,
    drop: (target, { clientX }) => {
      const place = where(target);
      if (place) addSpecies(draft, one.key, place === "day" ? stage.days.dayAt(clientX) : 0);
      else say("Let go over the tank to put it in.");
    },
  });
}
