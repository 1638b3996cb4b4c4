// The rock typed as rows of digits, and the grid that is drawn on: how high a step is, how fine the places are.

import { buttonRow, details, labelled, on, put } from "./dom.js";
import { actButton, LengthField, TextField } from "./field.js";
import { isWhole, resampled, toRows, typedRows } from "./rock_grid.js";
import { held, tenths } from "./units.js";

export function mountTyped(parent, deeds) {
  const { state } = deeds;
  const { draft } = state;
  const box = details(parent, "Type the heights as digits, or draw on a finer grid", { class: "rock-typed" });
  const field = new TextField(box, draft, {
    place: "rock.sketch",
    label: "Heights in steps, 0 to 9: one row of digits for each strip of the floor, the back of the tank first, the left end first",
    area: "textarea",
    whole: (text) => isWhole(typedRows(text)),
    write: (text, how) => {
      const step = state.rock.kind === "sketch" ? null : state.step;
      const change = { do: "sketch", rows: typedRows(text), step };
      return draft.edit([change], "heights typed as digits", how);
    },
    props: { rows: 8, class: "code", "data-field": "rock.sketch", wrap: "off" },
  });
  const show = () => {
    const open = state.rock.kind !== "drawn";
    field.input.readOnly = !open;
    field.input.rows = held(state.rows + 1, 20, 3);
    field.show(toRows(state.heights).join("\n"), open ? state.refused : []);
  };
  on(state, "grid answer", show);
  mountGrid(box, state);
}

function mountGrid(box, state) {
  const { draft } = state;
  const group = put(box, "fieldset", null, { class: "rock-grid" });
  put(group, "legend", "The grid to draw on; the rock you have is moved to the new one");
  const row = put(group, "div", null, { class: "fields" });
  const columns = countField(row, "Places along the tank");
  const rows = countField(row, "Places front to back");
  const step = new LengthField(row, draft, { label: "Height of one step", cm: state.step, least: 0.1 });
  const press = actButton(buttonRow(group), "Use this grid", () => {
    const [across, deep] = [columns, rows].map((one) => held(Math.round(one.valueAsNumber) || 1, 200, 1));
    const cm = tenths(step.cm);
    const highest = held(Math.floor(state.size[2] / cm + 1e-9), 9);
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
  on(state, "grid answer", show);
}

const COUNT = { type: "number", min: 1, max: 200, step: 1, inputmode: "numeric" };
const countField = (parent, label) => labelled(parent, label, "input", COUNT).input;
