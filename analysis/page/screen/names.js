// Species by either name: what is offered while one types, and what a typed name means.

import { newId, on, put } from "./dom.js";

const plain = (name) => name.trim().replace(/\s+/g, " ").toLowerCase();

export class Names {
  #keys = new Map();

  constructor(draft) {
    this.listId = newId("species");
    this.list = put(document.body, "datalist", null, { id: this.listId });
    on(draft, "view", ({ detail }) => {
      if (detail.cause === "begin") this.#learn(draft.begun.species);
    });
  }

  /** The scientific name of a species by any name; null when no name is like it. */
  keyOf(name) {
    return this.#keys.get(plain(name)) ?? null;
  }

  #learn(species) {
    this.list.replaceChildren();
    this.#keys.clear();
    for (const { key, common } of species) {
      this.#offer(key, key, common.join(", "));
      for (const name of common) this.#offer(name, key, key);
    }
  }

  #offer(name, key, label) {
    this.#keys.set(plain(name), key);
    put(this.list, "option", null, { value: name, label });
  }
}
