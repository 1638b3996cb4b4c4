// Rock in numbers: piled anew for every simulated tank, as drawn, or none. The drawing itself stands above.

import { buttonRow, details, on, put } from "./dom.js";
import { actButton, TextField } from "./field.js";
import { Fields, PILES } from "./form.js";
import { standardText, typedValue } from "./units.js";

export function mountRockFields(parent, draft) {
  const piled = put(parent, "fieldset");
  put(piled, "legend", "Piled anew for every simulated tank");
  new Fields(piled, draft, PILES);

  const anew = details(parent, "Pile rock anew for every simulated tank");
  const fields = mountAnew(put(anew, "form"), draft);
  const rest = put(parent, "div", null, { class: "fields-and-buttons" });
  new Fields(rest, draft, ["rock.piece_size"]);
  const taken = () => draft.edit([{ do: "bare" }], "all rock taken out");
  const bare = actButton(buttonRow(rest), "No rock", taken);

  const show = () => {
    const kind = draft.view?.rock?.kind;
    bare.hidden = kind === "none";
    for (const key of PILES) {
      fields[key].label.textContent = draft.label(key);
      fields[key].input.className = `of-${draft.begun.fields[key]?.kind}`;
    }
    for (const key of PILES.slice(1)) {
      fields[key].input.placeholder = standardText(draft.view?.fields?.[key] ?? {}, draft.units) || " ";
    }
    // a field that is emptied to type another number in it must not vanish under the hand
    if (!piled.contains(document.activeElement)) {
      piled.hidden = kind !== "drawn";
      anew.hidden = kind === "drawn";
    }
  };
  on(draft, "view", show);
  on(piled, "focusout", () => setTimeout(show));
}

/** What to type for rock instead of a drawing, or of none: sent as a whole. */
function mountAnew(form, draft) {
  const group = put(form, "div");
  const row = put(group, "div", null, { class: "fields" });
  const fields = {};
  for (const key of PILES) fields[key] = new TextField(row, draft, { place: `anew.${key}`, label: "" });
  const pile = actButton(buttonRow(group), "Pile it so", async () => {
    const change = { do: "cover" };
    for (const key of PILES) {
      const value = typedValue(draft.begun.fields[key].kind, fields[key].text, draft.units);
      if (value !== null) change[key.replace("rock.", "")] = value;
    }
    if (!fields["rock.cover"].text.trim()) return fields["rock.cover"].input.focus();
    await draft.edit([change], "rock piled anew for every tank");
    return Object.values(fields).forEach((field) => field.empty());
  });
  on(form, "submit", (event) => {
    event.preventDefault();
    pile.click();
  });
  return fields;
}
