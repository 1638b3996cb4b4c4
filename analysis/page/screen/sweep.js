// How much rock the species of the worst off needs: amounts tried one by one, each with its tank to be seen and taken.

import { AmountPicture } from "./amounts.js";
import { percent } from "./charts.js";
import { buttonRow, clear, labelled, put, showTable } from "./dom.js";
import { actButton } from "./field.js";
import { showFilm } from "./film.js";
import { cautionsAt, detailsBox, Runner } from "./runner.js";

const VARIED = [
  ["cover", "share of the floor under rock"],
  ["height", "height of the rock"],
  ["piles", "number of piles"],
];
const WANTED = [0.05, "", 0.2, 0.25].map((level) => [level, `1 simulated tank in ${1 / (level || 0.1)}`]);

export const mount = (parent, draft) => new Sweep(parent, draft);

class Sweep extends Runner {
  #chosen = null;

  constructor(parent, draft) {
    const least = "the least amount with which the species of the worst off is seldom pinned to one place";
    put(parent, "p", `The same fish are tried with less and with more rock, to find ${least}.`, { class: "soft" });
    const line = put(parent, "div", null, { class: "asked" });
    const vary = choice(line, "What to vary", VARIED);
    const level = choice(line, "It may be pinned in at most", WANTED);
    level.value = "";
    super(parent, draft, { kind: "rock", action: "How much rock?", name: "The search for enough rock", isWhich: true });
    Object.assign(this, { vary, level });
    this.#makeAnswer(this.answer);
  }

  what() {
    const level = this.level.value ? Number(this.level.value) : null;
    return { which: this.draft.which, vary: [this.vary.value], level };
  }

  takenUp({ vary, level }) {
    this.vary.value = vary?.[0] ?? "cover";
    this.level.value = level ?? "";
  }

  #makeAnswer(box) {
    this.picture = new AmountPicture(box, (number) => this.#choose(number));
    this.key = put(box, "p", "", { class: "soft" });
    this.point = put(box, "div", null, { class: "chosen-point", role: "region", "aria-label": "The amount chosen", hidden: true });
    cautionsAt(box, this.draft, ["rock", "power"]);
    this.table = detailsBox(box, "All amounts as a table", (inside, rows) => showTable(inside, { head: true, rows }));
  }

  show(result) {
    if (this.job !== this.shownJob) this.#chosen = null;
    this.shownJob = this.job;
    this.points = result.points.map((one) => ({ ...one, told: sentenceOf(one) }));
    const own = this.points.some((one) => one.own) ? " Square: your rock as it is now." : "";
    this.key.textContent = `Dashed line: at most ${percent(result.level)} is wanted.${own} Choose a point to see its figures and its tank.`;
    this.picture.show({ ...result, points: this.points }, this.#chosen);
    this.table([["", "pinned", "95 %", "swims free", "simulated tanks"], ...this.points.map(rowOf)]);
    this.#tellPoint();
  }

  #choose(number) {
    this.#chosen = number;
    this.#tellPoint(true);
  }

  /** What is said of the point chosen; its buttons stay while figures come in. */
  #tellPoint(isNew = false) {
    const one = this.#one;
    this.point.hidden = !one;
    if (!one) return;
    if (isNew || !this.pointText) {
      clear(this.point);
      put(this.point, "h4", one.text, { dir: "auto" });
      this.pointText = put(this.point, "p");
      const line = buttonRow(this.point);
      actButton(line, "See that tank", () => this.#see());
      actButton(line, "Take this amount", () => this.#take());
    }
    this.pointText.textContent = one.told;
  }

  get #one() {
    return this.points.find(({ number }) => number === this.#chosen);
  }

  #see() {
    const { number, text, trial } = this.#one;
    const change = { job: this.job, number };
    return showFilm(this.draft, { which: this.of.which, trial, change, file: this.of.file, title: text });
  }

  #take() {
    const { text, changes } = this.#one;
    return this.draft.edit(changes, `rock: ${text}`);
  }
}

function choice(parent, label, options) {
  const made = labelled(parent, label, "select").input;
  made.append(...options.map(([value, text]) => new Option(text, value)));
  return made;
}

const spanOf = ({ low, high }) => (Number.isFinite(low) ? `${percent(low).replace(/ %$/, "")} to ${percent(high)}` : "-");

function sentenceOf({ text, hits, low, high, tanks, free, own }) {
  const now = own ? ", your rock as it is now" : "";
  if (!tanks) return `${text}${now}: not tried yet.`;
  const swims = Number.isFinite(free) ? `; it swims free ${percent(free)} of the lit time` : "";
  return `${text}${now}: pinned in ${hits} of ${tanks} simulated tanks (95 %: ${spanOf({ low, high })})${swims}.`;
}

function rowOf({ text, hits, tanks, low, high, free, run }) {
  return [text, tanks ? `${hits} of ${tanks}` : "-", spanOf({ low, high }), percent(free), String(run)];
}
