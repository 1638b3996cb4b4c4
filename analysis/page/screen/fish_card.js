// The fish that was clicked in the tank: what it does now, who chases it, where it is, and what would help it.

import { button, buttonRow, clear, fillText, on, put } from "./dom.js";
import { putFish } from "./carry.js";

export class FishCard {
  constructor(parent, draft, stage) {
    Object.assign(this, { draft, stage });
    this.box = put(parent, "section", null, { class: "fish-card", hidden: true, "aria-label": "The fish you chose" });
    const top = put(this.box, "div", null, { class: "fish-name" });
    this.emblem = put(top, "span");
    this.name = put(top, "h3", "", { dir: "auto" });
    button(top, "\u00d7", () => stage.follow(null), { class: "small", "aria-label": "Let it go" });
    this.now = put(this.box, "p");
    this.band = put(this.box, "canvas", null, { class: "band", role: "img" });
    this.words = put(this.box, "p", null, { class: "soft" });
    const row = buttonRow(this.box);
    button(row, "What helps it?", () => draft.tell("help-wanted", stage.followed), { class: "small" });
    on(stage, "fish", () => this.show());
    on(stage, "frame", () => this.#tell());
  }

  get #found() {
    const { stage } = this;
    for (const { view } of stage.tanks) {
      const fish = view.fish[view.indexOf(stage.followed)];
      if (fish) return { view, fish };
    }
    return {};
  }

  show() {
    const { view, fish } = this.#found;
    this.box.hidden = !fish;
    if (!fish) return;
    const species = this.stage.film.species[fish.species];
    clear(this.emblem);
    putFish(this.emblem, species.wear[fish.male], 34);
    const [, which] = fish.label.match(/((?:male|female|unsexed) \d+)$/) ?? ["", ""];
    fillText(this.name, `${species.called}, ${which}, ${fish.length} cm`);
    this.#paintBand(view, fish);
    this.#tell();
  }

  #tell() {
    const { view, fish } = this.#found;
    if (!fish || this.box.hidden) return;
    const { hand, film, now } = this.stage;
    const name = (i) => calledBy(film, view.fish[i]);
    const told = hand.doingText(view.told, fish).replace(/(after|from|facing) \S+$/, (_, word) => `${word} ${name(fish.partner)}`);
    fillText(this.now, `Now: ${told}.`);
    const chasers = new Map();
    for (const [tick, , actor, target] of view.chases) {
      if (target === fish.i && tick * film.tick <= now) chasers.set(actor, (chasers.get(actor) ?? 0) + 1);
    }
    const most = [...chasers].sort((a, b) => b[1] - a[1]).slice(0, 3);
    const by = most.map(([i, count]) => `${name(i)} (${count}\u00d7)`).join(", ");
    const hidden = view.hidings(fish.i).reduce((sum, [from, to]) => sum + Math.max(0, Math.min(to, now) - from), 0);
    const share = now > 5 ? `; out of sight ${Math.round((100 * hidden) / now)} % of them` : "";
    fillText(this.words, `In these minutes: ${by ? `chased by ${by}` : "not chased so far"}${share}.`);
  }

  /** The minutes shown as a band: dark while it hides, a stroke for each chase it gets. */
  #paintBand(view, fish) {
    const { film } = this.stage;
    const ratio = devicePixelRatio || 1;
    const [wide, high] = [this.band.clientWidth || 240, 18];
    Object.assign(this.band, { width: wide * ratio, height: high * ratio });
    const ink = this.band.getContext("2d");
    ink.scale(ratio, ratio);
    const x = (seconds) => (seconds / film.seconds) * wide;
    ink.fillStyle = "#8fb9bd";
    ink.fillRect(0, 0, wide, high);
    ink.fillStyle = "#1a2426";
    for (const [from, to] of view.hidings(fish.i)) ink.fillRect(x(from), 0, Math.max(1, x(to - from)), high);
    ink.fillStyle = "#ffd33d";
    const chased = view.chases.filter((row) => row[3] === fish.i);
    for (const [tick] of chased) ink.fillRect(x(tick * film.tick) - 1, 0, 3, high);
    const share = view.hidings(fish.i).reduce((sum, [from, to]) => sum + to - from, 0) / film.seconds;
    const said = `The minutes shown: hiding ${Math.round(100 * share)} % of them, chased ${chased.length} times`;
    this.band.setAttribute("aria-label", said);
  }
}

function calledBy(film, fish) {
  if (!fish) return "another fish";
  const [, sex, number] = fish.label.match(/(male|female|unsexed) (\d+)$/) ?? [];
  return `${film.species[fish.species].called} ${sex} ${number}`;
}

