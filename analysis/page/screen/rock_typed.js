// The rock typed as rows of digits, and the grid that is drawn on: how high a step is, how fine the places are.

import { newId, put } from "./dom.js";
import { actButton, TextField } from "./field.js";
import { isWhole, resampled, toRows, typedRows } from "./rock_grid.js";
import { LengthField } from "./rock_lengths.js";

export function mountTyped(parent, deeds) {
  const { state } = deeds;
  const { draft } = state;
  const box = put(parent, "details", null, { class: "rock-typed" });
  put(box, "summary", "Type the heights as digits, or draw on a finer grid");
  const field = new TextField(box, draft, {
    place: "rock.sketch",
    label: "Heights in steps, 0 to 9: one row of digits for each strip of the floor, the back of the tank first, the left end first",
    area: "textarea",
    whole: (text) => isWhole(typedRows(text)),
    write: (text, which, joined) => write(state, typedRows(text), which, joined),
    props: { rows: 8, class: "code", "data-field": "rock.sketch", wrap: "off" },
  });
  const show = () => {
    const open = state.rock.kind !== "drawn";
    field.input.readOnly = !open;
    field.input.rows = Math.min(20, Math.max(3, state.rows + 1));
    field.show(toRows(state.heights).join("\n"), open ? state.refused : []);
  };
  state.addEventListener("grid", show);
  state.addEventListener("answer", show);
  mountGrid(box, state);
}

function write(state, rows, which, joined) {
  const step = state.rock.kind === "sketch" ? null : state.step;
  return state.draft.edit([{ do: "sketch", rows, step }], "heights typed as digits", { which, joined });
}

function mountGrid(box, state) {
  const { draft } = state;
  const group = put(box, "fieldset", null, { class: "rock-grid" });
  put(group, "legend", "The grid to draw on; what stands there is laid onto the new one");
  const row = put(group, "div", null, { class: "fields" });
  const columns = countField(row, "Places along the tank");
  const rows = countField(row, "Places front to back");
  const step = new LengthField(row, draft, { label: "Height of one step", cm: state.step, least: 0.1 });
  const press = actButton(put(group, "div", null, { class: "buttons" }), "Lay it onto this grid", () => {
    const [across, deep] = [columns, rows].map((one) => Math.max(1, Math.min(200, Math.round(one.valueAsNumber) || 1)));
    const cm = Math.round(step.cm * 10) / 10;
    const highest = Math.max(0, Math.min(9, Math.floor(state.size[2] / cm + 1e-9)));
    const heights = resampled(state.heights, { rows: deep, columns: across, step: cm, before: state.step, highest });
    state.highest = highest;
    state.lay(heights, cm);
    return state.commit("rock laid onto another grid");
  });
  let shownFor = "";
  const show = () => {
    press.disabled = !state.isOpen;
    const now = `${state.rows} ${state.columns} ${state.step}`;
    if (now === shownFor) return;
    shownFor = now;
    columns.value = state.columns;
    rows.value = state.rows;
    step.show(state.step);
  };
  state.addEventListener("grid", show);
  state.addEventListener("answer", show);
}

function countField(parent, label) {
  const id = newId("count");
  const box = put(parent, "div", null, { class: "field" });
  put(box, "label", label, { for: id });
  return put(box, "input", null, { id, type: "number", min: 1, max: 200, step: 1, inputmode: "numeric" });
}
