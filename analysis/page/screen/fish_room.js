// Which fish belong in which tank of a room: a room file, searched, and its tanks on a rack before and after.

import { draw, percent } from "./charts.js";
import { clear, labelled, on, problemBox, put, showProblems, Teller } from "./dom.js";
import { textOf } from "./files.js";
import { Runner } from "./runner.js";

const CHOOSE = "a file of yours";

export function mount(parent, draft) {
  const told = "Several tanks, and groups of fish that stay together: which group goes where so that nobody is badly off, with few moves.";
  put(parent, "p", told, { class: "soft" });
  return new FishRoom(parent, draft, new RoomFile());
}

/** A room in the place of the draft: nothing of it is edited here. */
class RoomFile extends Teller {
  file = null;
  view = null;
  busy = false;
  which = 0;

  take(file) {
    this.file = file;
    this.tell("view", { cause: "open" });
  }
}

class FishRoom extends Runner {
  constructor(parent, draft, room) {
    const line = put(parent, "div", null, { class: "asked" });
    const ready = labelled(line, "Room", "select").input;
    const own = labelled(line, "Room file (.toml)", "input", { type: "file", accept: ".toml,text/plain" });
    const take = labelled(line, "This group alone (may be left out)", "input", { type: "text", placeholder: "the trio", maxlength: 80 }).input;
    const about = put(parent, "p", "", { class: "soft", dir: "auto" });
    const unread = problemBox(parent);
    super(parent, room, { kind: "place", action: "Who belongs where?", name: "The search for places" });
    Object.assign(this, { room, ready, own, take });
    this.key = put(this.answer, "p", "", { class: "soft" });
    this.rack = put(this.answer, "div", null, { class: "racks" });
    const offer = () => {
      const { rooms = [] } = draft.begun;
      if (ready.length || !rooms.length) return;
      ready.append(...rooms.map(({ name, title }) => new Option(title, name)), new Option(CHOOSE, ""));
      choose();
    };
    const choose = () => {
      const one = draft.begun.rooms.find(({ name }) => name === ready.value);
      own.box.hidden = Boolean(one);
      about.textContent = one?.question ?? "How a room is written: scenarios/REFERENCE.md, Fish rooms.";
      showProblems(unread, []);
      room.take(one ? { name: one.name, text: "", stock_list: null } : null);
      this.start.disabled = !room.file;
    };
    on(ready, "change", choose);
    on(own.input, "change", async () => {
      const [file] = own.input.files;
      if (!file) return;
      try {
        room.take({ name: file.name, text: await textOf(file, draft.begun.limits.bytes), stock_list: null });
        showProblems(unread, []);
      } catch (fault) {
        room.take(null);
        showProblems(unread, [fault.message]);
      }
      this.start.disabled = !room.file;
    });
    on(draft, "view", offer);
    if (draft.view) offer();
  }

  what() {
    return { take: this.take.value.trim() || null };
  }

  takenUp({ take }) {
    this.take.value = take ?? "";
  }

  show({ rack }) {
    const moved = rack.sides.length > 1 ? "; \u2192 moved" : "";
    this.key.textContent = `Bars: what they keep of the swimming about they would do if left alone; \u2605 the worst off${moved}. Fish of the model, not yours.`;
    clear(this.rack);
    for (const side of rack.sides) showSide(this.rack, side);
  }
}

function showSide(parent, { head, shelves }) {
  const box = put(parent, "section", null, { class: "rack", "aria-label": head });
  put(box, "h4", head);
  for (const { name, rows } of shelves) {
    const shelf = put(box, "div", null, { class: "shelf-tank" });
    put(shelf, "h5", name, { dir: "auto" });
    if (!rows.length) put(shelf, "p", "empty", { class: "soft" });
    const list = put(shelf, "ul");
    for (const row of rows) showRow(list, row);
  }
}

function showRow(list, { name, kept, is_worst: isWorst, came }) {
  const item = put(list, "li", null, { class: isWorst ? "worst" : null });
  const told = put(item, "span", null, { dir: "auto", class: "who" });
  if (isWorst) put(told, "span", "\u2605 ", { "aria-label": "worst off: ", role: "img" });
  if (came) put(told, "span", "\u2192 ", { "aria-label": "moved: ", role: "img" });
  put(told, "bdi", name);
  const bar = draw(item, "svg", { width: "100%", height: 14, "aria-hidden": "true", focusable: "false" });
  draw(bar, "rect", { width: "100%", height: 14, class: "whole" });
  draw(bar, "rect", { width: `${(100 * Math.min(1, Math.max(0, kept))).toFixed(1)}%`, height: 14, class: "part" });
  put(item, "span", percent(kept), { class: "kept" });
}
