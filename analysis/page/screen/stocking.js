// Fish put in, counted and taken out, by whatever hand: all of it changes a row of the stock.

import { refusal, Refused } from "./ask.js";
import { say } from "./dom.js";

export const SEXES = { males: ["\u2642", "male"], females: ["\u2640", "female"], unsexed: ["?", "young or unsexed fish"] };
const FIELD_OF = { male: "males", female: "females", unsexed: "unsexed" };

const countOf = (row, field) => (Number.isInteger(row[field]) ? row[field] : 0);
export const fishOf = (row) => Object.keys(SEXES).reduce((sum, field) => sum + countOf(row, field), 0);

/** Do it, and say what there is to say of it or why it was refused; the Refused, or null. */
async function told(draft, work) {
  const fault = await refusal(work);
  if (fault) draft.tell("news", fault.problems);
  return fault;
}

/**
 * Change the row that is meant, where it stands and what it counts once all that was pressed before is done.
 * `make(row)`: {change, said, spoken, joined}.
 */
function onRow(draft, row, name, make) {
  const like = (one) => one.species === row.species && one.written === row.written && String(one.length?.written) === String(row.length?.written);
  const nth = draft.view.stock.filter(like).indexOf(row);
  let made = null;
  const changes = () => {
    const now = draft.view.stock.filter(like)[nth];
    if (!now) throw new Refused(422, [`${name} is out of the tank by now.`]);
    made = make(now);
    return [made.change];
  };
  return told(draft, async () => {
    await draft.edit(changes, () => made.said, { joined: () => made.joined ?? null });
    say(made.spoken ?? made.said);
  });
}

/** One more or one fewer of a sex in a row; a row without fish leaves. */
export function step(draft, row, field, by, name) {
  const make = (now) => {
    if (fishOf(now) + by <= 0) return dropped(now, name);
    const value = Math.max(0, countOf(now, field) + by);
    const said = `${name}: ${value} ${value === 1 ? SEXES[field][1] : field}`;
    return { change: { do: "row", row: now.row, field, value: value || null }, said, joined: `count ${now.row} ${field}` };
  };
  return onRow(draft, row, name, make);
}

const dropped = ({ row }, name) => ({
  change: { do: "drop row", row },
  said: `${name} taken out`,
  spoken: `${name} is out of the tank. Undo puts it back.`,
});

export const dropRow = (draft, row, name) => onRow(draft, row, name, (now) => dropped(now, name));

export function setDay(draft, row, day, name) {
  const make = (now) => ({
    change: { do: "row", row: now.row, field: "day", value: day || null },
    said: `${name} put in on day ${day}`,
    spoken: day ? `${name} is put in after ${day} days.` : `${name} is in from the beginning.`,
  });
  return onRow(draft, row, name, make);
}

/** A species put in by hand: one male, to be counted up from there. */
export function addSpecies(draft, name, day = 0) {
  return told(draft, async () => {
    await draft.edit([{ do: "add row", values: { species: name, males: 1, ...(day && { day }) } }], `${name} put in`);
    say(`${name}: one male is in${day ? ` after ${day} days` : ""}. Count up or down beside its name.`);
  });
}

/** Fish typed as one says it, "1m 3f yellow lab"; a name alone is one male. */
export async function addTyped(draft, text, names) {
  const key = names.keyOf(text);
  if (key) return addSpecies(draft, text.trim());
  return told(draft, async () => {
    const { said } = await draft.paste(text, false);
    say(said.join(" "));
    draft.tell("news", said.filter((one) => !/ added, /.test(one)));
  });
}

/** Take one fish out, by its label: one fewer of its sex in the row that it is of. */
export function takeFishOut(draft, label, name) {
  const [, species, sex, number] = label.match(/^(.*) (male|female|unsexed) (\d+)$/) ?? [];
  const field = FIELD_OF[sex];
  if (!field) return null;
  let before = 0;
  const rows = (draft.view?.stock ?? []).filter((one) => one.species === species);
  const row = rows.find((one) => (before += countOf(one, field)) >= Number(number)) ?? rows.at(-1);
  return row ? step(draft, row, field, -1, name) : null;
}
