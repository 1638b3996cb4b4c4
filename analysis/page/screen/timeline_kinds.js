// What can be put in on a day: the fields of each, and the row of the file that comes of them.

const DAY = { key: "day", label: "After day", kind: "number", value: 7 };
const LONG = { key: "for", label: "For how long", hint: "2 weeks" };
const AGAIN = { key: "every", label: "Again every", hint: "once" };
const fish = (label = "Fish") => ({ key: "fish", label, kind: "fish" });

/** By kind: `said` in the list, its fields, the `key` of the file whose value is that of the field `of`, or `value`. */
export const FORMS = {
  "time-out": { said: "Time-out: a fish out and back", key: "out", of: "fish", fields: [fish(), DAY, { ...LONG, value: "2 weeks" }] },
  out: { said: "A fish out for good", key: "out", of: "fish", fields: [fish(), DAY] },
  back: { said: "A fish that was out is put back", key: "back", of: "fish", fields: [fish(), DAY] },
  box: { said: "A fish into a box in the tank", key: "box", of: "fish", fields: [fish(), DAY, { ...LONG, value: "1 week" }] },
  divider: {
    said: "A divider", key: "divider",
    fields: [{ key: "from_left", label: "From the left", value: "60 cm" }, { key: "clear", label: "Kind", kind: "choice", choices: ["opaque", "clear"] }, DAY, { ...LONG, value: "2 weeks" }],
    value: ({ from_left, clear }) => ({ from_left, clear: clear === "clear" }),
  },
  anew: { said: "All rock laid anew", key: "rock", value: () => "anew", fields: [DAY], note: "Rock can crush: lift it with two, on a base that carries it, the fish first out of its way." },
  more: { said: "Rock added or taken", key: "rock", of: "share", fields: [{ key: "share", label: "Share of the floor, more or less", value: "+10 %", hint: "+10 %" }, DAY] },
  meals: { said: "Other meals from then on", key: "meals", value: ({ meals }) => (/^\d+$/.test(meals) ? Number(meals) : meals.split(/[,;]\s*/)), fields: [{ key: "meals", label: "A day, or by the clock", value: "3", hint: "08:00, 19:00" }, DAY] },
  hours: { said: "Other hours of light", key: "lights", value: ({ hours, dusk }) => ({ hours: Number(hours), ...(dusk && { dusk }) }), fields: [{ key: "hours", label: "Hours a day", kind: "number", value: 12 }, { key: "dusk", label: "Dusk", hint: "30 min" }, DAY] },
  dark: { said: "A dark day", key: "lights", value: () => "off", fields: [DAY], note: "The lights go off and stay off until the next morning." },
  water: { said: "Water is changed", key: "water", value: () => "changed", fields: [DAY, { ...AGAIN, value: "2 weeks" }] },
  holding: { said: "A female begins to hold eggs", key: "holding", of: "fish", fields: [fish("Female"), DAY] },
  spawning: { said: "Females hold eggs by themselves from then on", key: "spawning", value: () => true, fields: [DAY] },
  injured: { said: "A fish is hurt", key: "injured", of: "fish", fields: [fish(), DAY, { ...LONG, value: "1 week" }], note: "A sick or hurt fish is for a vet; the model only makes it weaker and shyer." },
  dead: { said: "A fish died", key: "dead", of: "fish", fields: [fish(), DAY] },
  rule: {
    said: "Rule of thumb: when something is seen, a fish out or into a box", key: "when", of: "sign",
    fields: [
      { key: "sign", label: "When one of them", kind: "choice", choices: ["pinned", "keeps less than 40 %", "shows male", "holds"] },
      { key: "in_a_row", label: "Days in a row", hint: "1" },
      { key: "looked", label: "Whom you look at", kind: "fish", choices: ["all fish"] },
      { key: "deed", label: "What is done", kind: "choice", choices: ["out", "box"] },
      { key: "whom", label: "Who", kind: "fish", choices: ["it", "chief chaser"] },
      { ...LONG, hint: "for good" },
    ],
    more: ({ in_a_row, looked, deed, whom }) => ({ [deed]: whom, ...(in_a_row && { in_a_row: Number(in_a_row) }), ...(looked !== "all fish" && { fish: looked }) }),
  },
};

/** The row of the file that typed fields come to. */
export function valuesOf(form, typed) {
  const row = { [form.key]: form.of ? typed[form.of] : form.value(typed), ...form.more?.(typed) };
  if (typed.day) row.day = Number(typed.day);
  for (const key of ["for", "every"]) if (typed[key]) row[key] = typed[key];
  return row;
}
