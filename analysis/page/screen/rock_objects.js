// Wood, filter and heater: where they stand and how large they are.

import { button, buttonRow, clear, details, on, put } from "./dom.js";
import { actButton, TextField } from "./field.js";
import { isNone, shown, typedValue } from "./units.js";

const KINDS = ["wood", "filter", "heater"];
const LENGTHS = ["from_left", "from_front", "above_base", "length", "front_to_back", "height"];
const SHARES = {
  wood: { from_left: 0.35, from_front: 0.3, above_base: 0, length: 0.25, front_to_back: 0.15, height: 0.3 },
  filter: { from_left: 0.02, from_front: 0.7, above_base: 0.4, length: 0.08, front_to_back: 0.25, height: 0.5 },
  heater: { from_left: 0.6, from_front: 0.9, above_base: 0.15, length: 0.2, front_to_back: 0.06, height: 0.06 },
}; // of the tank, for a new one

export function mountObjects(parent, state) {
  const { draft } = state;
  const box = details(parent, "", { class: "rock-objects" });
  const list = put(box, "ol");
  const buttons = buttonRow(box);
  for (const kind of KINDS) {
    actButton(buttons, kind === "wood" ? "Add wood" : `Add a ${kind}`, () =>
      draft.edit([{ do: "objects", objects: [...state.rock.objects, made(kind, state.size)] }], `${kind} added`),
    );
  }
  let shownFor = -1;
  const show = () => {
    const objects = state.rock.objects ?? [];
    box.firstChild.textContent = `Wood, filter, heater: ${objects.map((one) => one.kind).join(", ") || "none"}`;
    for (const one of buttons.querySelectorAll("button")) one.disabled = !state.size;
    if (objects.length !== shownFor) {
      clear(list);
      objects.forEach((_, k) => mountOne(list, state, k));
      shownFor = objects.length;
    }
    list.querySelectorAll("li").forEach((item, k) => item.fill(objects[k]));
  };
  on(draft, "view units", show);
  on(state, "answer", show);
  show();
}

function mountOne(list, state, k) {
  const { draft } = state;
  const item = put(list, "li");
  const group = put(item, "fieldset");
  const name = put(group, "legend");
  const change = (key, value, said, how) => {
    const objects = state.rock.objects.map((one, at) => (at === k ? { ...one, [key]: value } : one));
    return draft.edit([{ do: "objects", objects }], said, how);
  };
  const row = put(group, "div", null, { class: "fields" });
  const fields = LENGTHS.map((key) => {
    const label = draft.label(`rock.object.${key}`);
    const field = new TextField(row, draft, {
      place: `rock.object.${k}.${key}`,
      label,
      write: (typed, how) => {
        const said = `${label} of the ${state.rock.objects[k].kind}: ${typed}`;
        return change(key, typedValue("length", typed, draft.units), said, how);
      },
      props: { class: "of-length" },
    });
    return [key, field];
  });
  const out = () => ({ do: "objects", objects: state.rock.objects.filter((_, at) => at !== k) });
  const drop = button(group, "", () => draft.edit([out()], "taken out"), { class: "small" });
  item.fill = (one) => {
    name.textContent = `${one.kind} ${k + 1}`;
    drop.textContent = `Take the ${one.kind} out`;
    for (const [key, field] of fields) field.show(isNone(one[key]) ? "" : lengthText(one[key], draft.units));
  };
}

const lengthText = (cm, units) => (typeof cm === "number" ? shown("length", cm, units) : String(cm));

/** A new one at an ordinary place of a tank, in whole cm. */
function made(kind, [long, deep, , water]) {
  const of = { from_left: long, length: long, from_front: deep, front_to_back: deep, above_base: water, height: water };
  const cm = Object.entries(SHARES[kind]).map(([key, share]) => [key, share ? Math.max(1, Math.round(share * of[key])) : 0]);
  return { kind, ...Object.fromEntries(cm) };
}
