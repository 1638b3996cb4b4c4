// Films of a living tank, asked for as the file changes and kept as long as they may be wanted again.

import { ask } from "./ask.js";
import { put } from "./dom.js";
import { markOf } from "./job.js";

const PLAYER = "/player.js";
const KEPT = 8;
let asked = null;

/** The part of the film player that draws a tank and its fish. */
export function player() {
  asked ??= new Promise((found, failed) => {
    const onerror = () => {
      asked = null; // to be asked for again
      failed(new Error(PLAYER));
    };
    const onload = () => (window.rockshyTank ? found(window.rockshyTank) : onerror());
    put(document.head, "script", null, { onload, onerror, src: PLAYER });
  });
  return asked;
}

export class Films {
  #kept = new Map();
  #given = new AbortController();

  /** The film {film, day} of a day; null when another was asked for in the meantime. Throws a Refused. */
  async of(file, shown, day) {
    this.#given.abort();
    this.#given = new AbortController();
    const { signal } = this.#given;
    const key = JSON.stringify([markOf(file), shown, day]);
    const found = this.#kept.get(key);
    if (found) return found;
    let made;
    try {
      made = await ask("/live", { draft: file, shown, trial: 0, day }, { signal });
    } catch (fault) {
      if (signal.aborted) return null;
      throw fault;
    }
    if (signal.aborted || !made.film) return null;
    this.#kept.set(key, made);
    if (this.#kept.size > KEPT) this.#kept.delete(this.#kept.keys().next().value);
    return made;
  }
}

/** A film of no fish, for a tank of which only the rock is known: `still` as /rock tells it. */
export function stillFilm(still) {
  const nothing = { ways: [], doings: [], fish: [], log: [], homes: [], grounds: [], mouths: [], looksIn: [], open: "" };
  const sizes = { cell: [5, 5, 5], shape: [0, 0, 0], units: 1, edge: 5, sight: 0, corner: [], mouth: [], mouthCell: [] };
  const tank = { ...still, ...nothing, ...sizes, name: "" };
  return { tick: 1, seconds: 1, clock: 0, species: [], slabs: still.slabs, tanks: [tank], events: [], speed: 1, still: true };
}
