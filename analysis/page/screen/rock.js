// The rock drawn by hand: from above and through the front glass, with what is in view and what it comes to.

import { button, buttonRow, details, fillText, newId, on, put } from "./dom.js";
import { actButton, LengthField } from "./field.js";
import { Above } from "./rock_above.js";
import { Deeds } from "./rock_deeds.js";
import { Front } from "./rock_front.js";
import { handleKeys, handlePointer, KEYS, TOOLS } from "./rock_hands.js";
import { hatch, sized } from "./rock_ink.js";
import { Looking } from "./rock_looking.js";
import { mountObjects } from "./rock_objects.js";
import { RockState } from "./rock_state.js";
import { Told } from "./rock_told.js";
import { mountTyped } from "./rock_typed.js";

export const mount = (el, draft) => new Desk(el, draft);

class Desk {
  #due = false;

  constructor(el, draft) {
    this.draft = draft;
    this.el = el;
    el.classList.add("rock-desk");
    this.state = new RockState(draft);
    this.deeds = new Deeds(this.state);
    this.#mountHow(put(el, "div", null, { class: "rock-how" }));
    const views = put(el, "div", null, { class: "rock-views" });
    this.#mountAbove(put(views, "div", null, { class: "rock-view" }));
    this.#mountFront(put(views, "div", null, { class: "rock-view" }));
    this.looking = new Looking(el, this.deeds);
    this.told = new Told(el, this.state);
    mountTyped(el, this.deeds);
    mountObjects(el, this.state);
    this.#listen();
  }

  get tool() {
    return this.tools.querySelector("input:checked").value;
  }

  /** Rock that is drawn anew in every simulated tank: which one is shown, and the way to draw by hand. */
  #mountHow(parent) {
    const { state, draft } = this;
    const drawn = put(parent, "div", null, { hidden: true });
    const said = put(drawn, "p", null, { role: "status" });
    const row = buttonRow(drawn);
    button(row, "Show another simulated tank", () => state.turnTo((state.trial + 1) % (state.answer?.tanks ?? 1)));
    actButton(row, "Draw it myself from here", () => {
      const { digits, step_cm: step } = state.answer.grid;
      return draft.edit([{ do: "sketch", rows: digits, step }], "rock drawn by hand from here");
    });
    const sketched = buttonRow(parent);
    const anew = () => draft.edit([{ do: "cover", ...state.answer.anew }], "rock drawn anew in every tank");
    actButton(sketched, "Draw it anew in every simulated tank", anew);
    const note = put(sketched, "span", null, { class: "soft" });
    const show = () => {
      const { kind, listed_crevices: listed } = state.rock;
      drawn.hidden = kind !== "drawn";
      const cover = state.answer?.anew.cover ?? 0;
      sketched.hidden = kind !== "sketch" || !cover;
      note.textContent = `with the cover it has now, ${Math.round(100 * cover)} % of the floor`;
      if (!state.answer || kind !== "drawn") return;
      const which = `The pictures show tank ${state.trial + 1} of ${state.answer.tanks}.`;
      const crevices = listed ? " Its crevices are those listed in the file." : "";
      fillText(said, `Drawn anew in every simulated tank. ${which}${crevices}`);
    };
    on(state, "grid answer", show);
    show();
  }

  #mountAbove(parent) {
    const { deeds } = this;
    put(parent, "h3", "From above");
    this.tools = put(parent, "fieldset", null, { class: "rock-tools" });
    put(this.tools, "legend", "Mouse or finger");
    for (const [value, label] of TOOLS) {
      const line = put(this.tools, "label");
      put(line, "input", null, { type: "radio", name: "rock-tool", value, checked: value === TOOLS[0][0] });
      line.append(` ${label}`);
    }
    put(parent, "p", "back", { class: "rock-edge" });
    const keys = newId("keys");
    const where = newId("where");
    const told = { "aria-label": "Rock from above", "aria-describedby": `${where} ${keys}` };
    this.box = put(parent, "div", null, { class: "rock-above", tabindex: 0, role: "application", ...told });
    this.above = new Above(put(this.box, "canvas", null, { "aria-hidden": "true" }));
    put(parent, "p", "front glass", { class: "rock-edge rock-glass" });
    this.where = put(parent, "p", null, { class: "rock-where", id: where });
    this.edits = put(parent, "div", null, { class: "rock-edits" });
    const row = buttonRow(this.edits);
    button(row, "Pile higher", () => deeds.stepHeap(1));
    button(row, "Pile lower", () => deeds.stepHeap(-1));
    button(row, "Place higher", () => deeds.stepPlace(1));
    button(row, "Place lower", () => deeds.stepPlace(-1));
    button(row, "Take the pile out", () => deeds.takeOut());
    button(row, "Mirror left and right", () => deeds.mirror());
    const fresh = put(this.edits, "div", null, { class: "fields rock-new" });
    for (const side of ["across", "high"]) {
      const take = (cm) => (deeds.fresh[side] = cm);
      new LengthField(fresh, this.draft, { label: `New pile, ${side}`, cm: deeds.fresh[side], least: 1, take });
    }
    button(buttonRow(this.edits), "New pile at the marked place", () => deeds.putDown());
    mountKeys(parent, keys);
  }

  #mountFront(parent) {
    put(parent, "h3", "Through the front glass");
    const figure = put(parent, "figure");
    const told = "The tank through the front glass; its rock and shelters are told below";
    const props = { role: "img", class: "rock-front", "aria-label": told };
    this.front = new Front(put(figure, "canvas", null, props));
    const caption = put(figure, "figcaption", "Dark openings in a white ring: crevices. ", { class: "soft" });
    caption.append("Click into the picture to look from there. ");
    caption.append("Stones are drawn to the heights; the shape of one means nothing.");
    this.legend = put(caption, "canvas", null, { "aria-hidden": "true", class: "rock-swatch", hidden: true });
  }

  #listen() {
    const { state, deeds, looking } = this;
    const paint = () => this.paint();
    handlePointer(this.above, deeds, { tool: () => this.tool, look: (x, y) => looking.from(x, y) });
    handleKeys(this.box, deeds, { look: (x, y) => looking.from(x, y) });
    on(this.front.canvas, "click", (event) => {
      const at = state.size && this.front.at(event, looking.depth);
      if (at) looking.fromFront(at);
    });
    on(this.box, "focus blur", paint);
    on(state, "grid answer", paint);
    on(deeds, "mark closed", paint);
    on(this.draft, "units", paint);
    new ResizeObserver(paint).observe(this.el);
    paint();
  }

  /** Paint what is there, once for each picture that the screen shows. */
  paint() {
    if (this.#due) return;
    this.#due = true;
    requestAnimationFrame(() => {
      this.#due = false;
      this.#paintNow();
    });
  }

  #paintNow() {
    const { state, deeds } = this;
    this.edits.hidden = state.rock.kind === "drawn";
    this.el.dataset.kind = state.rock.kind;
    if (!state.answer) return;
    this.where.textContent = deeds.where;
    const isFocused = document.activeElement === this.box;
    this.above.paint(state, { cursor: deeds.cursor, heap: deeds.heap, isFocused }, this.box.clientWidth);
    this.front.paint(state, this.front.canvas.parentElement.clientWidth).catch((fault) => console.warn(fault));
    this.legend.hidden = !state.place;
    if (state.place) paintSwatch(this.legend);
  }
}

function mountKeys(parent, id) {
  const title = "Keys, while the view from above has the focus";
  const list = put(details(parent, title, { class: "rock-keys" }), "dl", null, { id });
  for (const [key, what] of KEYS) {
    const line = put(list, "div");
    put(line, "dt", key);
    put(line, "dd", what);
  }
}

function paintSwatch(canvas) {
  const ink = sized(canvas, 60, 18);
  [2, 5, 8].forEach((sign, k) => {
    ink.fillStyle = hatch(ink, sign);
    ink.fillRect(20 * k, 0, 20, 18);
  });
}
