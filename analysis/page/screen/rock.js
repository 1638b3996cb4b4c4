// The rock in every detail: tools for the two views, what is in view, rows of digits, wood and gear, what it comes to.

import { button, buttonRow, details, fillText, on, put } from "./dom.js";
import { actButton, LengthField } from "./field.js";
import { KEYS, TOOLS } from "./rock_hands.js";
import { hatch, sized } from "./rock_ink.js";
import { Looking } from "./rock_looking.js";
import { mountObjects } from "./rock_objects.js";
import { Told } from "./rock_told.js";
import { mountTyped } from "./rock_typed.js";

/** Everything of the rock that the tank in the middle has no room for. */
export function mount(el, draft, stage) {
  const { state, deeds } = stage;
  el.classList.add("rock-desk");
  mountHow(put(el, "div", null, { class: "rock-how" }), draft, state);
  const told = "Drag a pile in either view, or press it and use the keys. In the front view up and down raise and lower it.";
  put(el, "p", told, { class: "soft" });
  mountTools(el, stage);
  mountEdits(el, draft, deeds);
  const keys = put(details(el, "Keys, while the view from above has the focus", { class: "rock-keys" }), "dl");
  for (const [key, what] of KEYS) {
    const line = put(keys, "div");
    put(line, "dt", key);
    put(line, "dd", what);
  }
  const looking = new Looking(el, deeds);
  Object.assign(stage, { look: (x, y) => looking.from(x, y), lookAt: (place) => looking.fromFront(place) });
  const legend = put(el, "canvas", null, { "aria-hidden": "true", class: "rock-swatch", hidden: true });
  new Told(el, state);
  mountTyped(el, deeds);
  mountObjects(el, state);
  on(state, "grid answer", () => {
    el.dataset.kind = state.rock.kind;
    legend.hidden = !state.place;
    if (state.place) paintSwatch(legend);
  });
}

/** Rock that is piled anew in every simulated tank: which one is shown; or the way back to that. */
function mountHow(parent, draft, state) {
  const drawn = put(parent, "div", null, { hidden: true });
  const said = put(drawn, "p", null, { role: "status" });
  const row = buttonRow(drawn);
  button(row, "Show another simulated tank", () => state.turnTo((state.trial + 1) % (state.answer?.tanks ?? 1)));
  actButton(row, "Let it stand as it is shown", () => {
    const { digits, step_cm: step } = state.answer.grid;
    return draft.edit([{ do: "sketch", rows: digits, step }], "rock stands as it is shown");
  });
  const sketched = buttonRow(parent);
  const anew = () => draft.edit([{ do: "cover", ...state.answer.anew }], "rock piled anew in every tank");
  actButton(sketched, "Pile it anew in every simulated tank", anew);
  const note = put(sketched, "span", null, { class: "soft" });
  const show = () => {
    const { kind, listed_crevices: listed } = state.rock;
    drawn.hidden = kind !== "drawn";
    const cover = state.answer?.anew.cover ?? 0;
    sketched.hidden = kind !== "sketch" || !cover;
    note.textContent = `with the cover it has now, ${Math.round(100 * cover)} % of the floor`;
    if (!state.answer || kind !== "drawn") return;
    const which = `The pictures show tank ${state.trial + 1} of ${state.answer.tanks}; move a pile, and the rock stands so in all.`;
    const crevices = listed ? " Its crevices are those listed in the file." : "";
    fillText(said, `Piled anew in every simulated tank. ${which}${crevices}`);
  };
  on(state, "grid answer", show);
  show();
}

function mountTools(parent, stage) {
  const tools = put(parent, "fieldset", null, { class: "rock-tools" });
  put(tools, "legend", "Mouse or finger");
  for (const [value, label] of TOOLS) {
    const line = put(tools, "label");
    put(line, "input", null, { type: "radio", name: "rock-tool", value, checked: value === TOOLS[0][0] });
    line.append(` ${label}`);
  }
  stage.tool = () => tools.querySelector("input:checked").value;
}

function mountEdits(parent, draft, deeds) {
  const edits = put(parent, "div", null, { class: "rock-edits" });
  const row = buttonRow(edits);
  button(row, "Place higher", () => deeds.stepPlace(1));
  button(row, "Place lower", () => deeds.stepPlace(-1));
  button(row, "Mirror left and right", () => deeds.mirror());
  const fresh = put(edits, "div", null, { class: "fields rock-new" });
  for (const side of ["across", "high"]) {
    const take = (cm) => (deeds.fresh[side] = cm);
    new LengthField(fresh, draft, { label: `New pile, ${side}`, cm: deeds.fresh[side], least: 1, take });
  }
  button(buttonRow(edits), "New pile at the marked place", () => deeds.putDown());
}

function paintSwatch(canvas) {
  const ink = sized(canvas, 60, 18);
  [2, 5, 8].forEach((sign, k) => {
    ink.fillStyle = hatch(ink, sign);
    ink.fillRect(20 * k, 0, 20, 18);
  });
}
