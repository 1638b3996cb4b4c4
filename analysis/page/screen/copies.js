// The tank as it is and its copies: which one is shown and edited, and what a copy changes.

import { buttonRow, clear, newId, on, put, say } from "./dom.js";
import { actButton, TextField } from "./field.js";

const copyOf = (draft) => draft.view?.copies?.[draft.which - 1] ?? null;

export class Copies {
  constructor(parent, draft) {
    this.draft = draft;
    this.group = newId("which");
    this.choice = put(parent, "fieldset", null, { class: "choice" });
    put(this.choice, "legend", "Shown and edited");
    this.options = put(this.choice, "div", null, { class: "options" });
    actButton(buttonRow(parent), "Change a copy", () => this.#copy(), { id: "change-a-copy" });
    this.#makeOfCopy(parent);
    on(draft, "view", () => this.show());
  }

  #makeOfCopy(parent) {
    const { draft } = this;
    this.own = put(parent, "div", null, { class: "of-copy", hidden: true });
    this.name = new TextField(this.own, draft, {
      place: "copy.name",
      label: "Name of the copy",
      write: (typed, how) => draft.edit([{ do: "rename", name: typed }], `copy renamed ${typed}`, how),
    });
    this.words = put(this.own, "div", null, { class: "told" });
    const buttons = buttonRow(this.own);
    const keep = () => this.#end("keep copy", (name) => `${name} kept as the tank`, "now the tank as it is");
    actButton(buttons, "Keep this copy as the tank", keep);
    const drop = () => this.#end("drop copy", (name) => `copy ${name} dropped`, "dropped");
    actButton(buttons, "Drop this copy", drop);
  }

  show() {
    const { draft } = this;
    const names = draft.view.names ?? [];
    const told = names.join("\n");
    if (told !== this.told) this.#offer(names);
    this.told = told;
    for (const one of this.options.querySelectorAll("input")) one.checked = Number(one.value) === draft.which;
    const copy = copyOf(draft);
    this.own.hidden = !copy;
    if (!copy) return;
    this.name.show(copy.name, draft.view.fields?.["copy.name"]?.problems ?? []);
    clear(this.words);
    put(this.words, "h3", "What this copy changes");
    const list = put(this.words, "ul");
    const changes = copy.changes.length ? copy.changes : ["Nothing yet: change sides, rock or stock below."];
    for (const text of changes) put(list, "li", text, { dir: "auto" });
  }

  #offer(names) {
    const held = this.options.contains(document.activeElement);
    clear(this.options);
    names.forEach((name, which) => {
      const label = put(this.options, "label");
      const chosen = () => this.draft.show(which).catch(() => this.show());
      put(label, "input", null, { type: "radio", name: this.group, value: which, onchange: chosen });
      put(label, "bdi", name);
    });
    if (held) this.options.querySelectorAll("input")[this.draft.which]?.focus();
  }

  async #copy() {
    const { draft } = this;
    const view = await draft.edit([{ do: "copy", of: draft.which, name: null }], "a copy made");
    const last = view.names.length - 1;
    if (draft.which !== last) await draft.show(last);
    say(`${view.names[last]}: a copy to change. Sides, rock and stock below are now those of the copy.`);
    this.name.input.focus();
    this.name.input.select();
  }

  /** Keep or drop the copy that is shown; the tank as it is, is shown then. */
  async #end(deed, done, said) {
    const { name } = copyOf(this.draft);
    await this.draft.edit([{ do: deed }], done(name));
    if (this.draft.which !== 0) await this.draft.show(0);
    say(`${name} is ${said}.`);
    this.options.querySelector("input:checked")?.focus();
  }
}
