// The tank as it is and its copies: which one is shown and edited, and what a copy changes.

import { clear, newId, put, say } from "./dom.js";
import { actButton, TextField } from "./field.js";

export const copyOf = (draft) => draft.view?.copies?.[draft.which - 1] ?? null;

export class Copies {
  constructor(parent, draft) {
    this.draft = draft;
    this.group = newId("which");
    this.choice = put(parent, "fieldset", null, { class: "choice" });
    put(this.choice, "legend", "Shown and edited");
    this.options = put(this.choice, "div", null, { class: "options" });
    const buttons = put(parent, "div", null, { class: "buttons" });
    this.change = actButton(buttons, "Change a copy", () => this.#copy(), { id: "change-a-copy" });
    this.#makeOfCopy(parent);
    draft.addEventListener("view", () => this.show());
  }

  #makeOfCopy(parent) {
    const { draft } = this;
    this.own = put(parent, "div", null, { class: "of-copy", hidden: true });
    this.name = new TextField(this.own, draft, {
      place: "copy.name",
      label: "Name of the copy",
      write: (typed, which, joined) =>
        draft.edit([{ do: "rename", name: typed }], `copy renamed ${typed}`, { which, joined }),
      props: { type: "text" },
    });
    this.words = put(this.own, "div", null, { class: "told" });
    const buttons = put(this.own, "div", null, { class: "buttons" });
    actButton(buttons, "Keep this copy as the tank", () => this.#keep());
    actButton(buttons, "Drop this copy", () => this.#drop());
  }

  show() {
    const { draft } = this;
    const names = draft.view.names ?? [];
    const told = names.join("\n");
    if (told !== this.told) this.#offer(names);
    this.told = told;
    this.options
      .querySelectorAll("input")
      .forEach((one) => (one.checked = Number(one.value) === draft.which));
    const copy = copyOf(draft);
    this.own.hidden = !copy;
    if (!copy) return;
    this.name.show(copy.name, draft.view.fields?.["copy.name"]?.problems ?? []);
    clear(this.words);
    put(this.words, "h3", "What this copy changes");
    const list = put(this.words, "ul");
    if (copy.changes.length) copy.changes.forEach((text) => put(list, "li", text, { dir: "auto" }));
    else put(list, "li", "Nothing yet: change sides, rock or stock below.");
  }

  #offer(names) {
    const held = this.options.contains(document.activeElement);
    clear(this.options);
    names.forEach((name, which) => {
      const label = put(this.options, "label");
      const props = { type: "radio", name: this.group, value: which };
      put(label, "input", null, {
        ...props,
        onchange: () => this.draft.show(which).catch(() => this.show()),
      });
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

  async #keep() {
    const { name } = copyOf(this.draft);
    await this.draft.edit([{ do: "keep copy" }], `${name} kept as the tank`);
    if (this.draft.which !== 0) await this.draft.show(0);
    say(`${name} is now the tank as it is.`);
    this.#focusChosen();
  }

  async #drop() {
    const { name } = copyOf(this.draft);
    await this.draft.edit([{ do: "drop copy" }], `copy ${name} dropped`);
    if (this.draft.which !== 0) await this.draft.show(0);
    say(`${name} is dropped.`);
    this.#focusChosen();
  }

  #focusChosen() {
    this.options.querySelector("input:checked")?.focus();
  }
}
