// How much rock the mild species needs: amounts tried one by one, each with its tank to be seen and taken.

import { AmountPicture } from "./amounts.js";
import { percent } from "./charts.js";
import { clear, keepInStep, newId, put, showPieces, showTable } from "./dom.js";
import { actButton } from "./field.js";
import { showFilm } from "./film.js";
import { cautionsAt, detailsBox, Runner } from "./runner.js";

const VARIED = [
  ["cover", "share of the floor under rock"],
  ["height", "height of the rock"],
  ["piles", "number of piles"],
];
const WANTED = [
  [0.05, "1 simulated tank in 20"],
  [null, "1 simulated tank in 10"],
  [0.2, "1 simulated tank in 5"],
  [0.25, "1 simulated tank in 4"],
];

export function mountSweep(parent, draft) {
  return new Sweep(parent, draft);
}

class Sweep {
  #chosen = null;

  constructor(parent, draft) {
    this.draft = draft;
    put(parent, "p", "The same fish are tried with less and with more rock, to find the least amount with which the mild species is seldom pinned to one place.", { class: "soft" });
    const line = put(parent, "div", null, { class: "asked" });
    this.vary = choice(line, "What is varied", VARIED);
    this.level = choice(line, "It may be pinned in at most", WANTED.map(([level, text]) => [level ?? "", text]));
    this.level.value = "";
    this.runner = new Runner(put(parent, "div"), draft, {
      kind: "rock",
      action: "How much rock?",
      name: "The sweep over rock",
      isWhich: true,
      what: () => ({ which: draft.which, vary: [this.vary.value], level: this.level.value ? Number(this.level.value) : null }),
      show: (result, state) => this.show(result, state),
      brief: (result) => result.verdict?.[0] ?? "",
      takenUp: (what) => this.#takenUp(what),
    });
    this.#makeAnswer(parent);
  }

  #makeAnswer(parent) {
    this.answer = put(parent, "div", null, { class: "answer", hidden: true });
    this.verdict = put(this.answer, "div", null, { class: "headline" });
    this.picture = new AmountPicture(this.answer, (number) => this.#choose(number));
    this.key = put(this.answer, "p", "", { class: "soft" });
    this.point = put(this.answer, "div", null, { class: "chosen-point", role: "region", "aria-label": "The amount chosen", hidden: true });
    cautionsAt(this.answer, this.draft, ["rock", "power"]);
    this.table = detailsBox(this.answer, "All amounts as a table", (inside, rows) => showTable(inside, { head: true, rows }));
    this.figures = detailsBox(this.answer, "All figures", (inside, pieces) => showPieces(inside, pieces, 4));
  }

  #takenUp({ vary, level }) {
    this.vary.value = vary?.[0] ?? "cover";
    this.level.value = level ?? "";
  }

  show(result, state) {
    Object.assign(this, { result, job: state.id, of: state.of });
    if (state.id !== this.shownJob) this.#chosen = null;
    this.shownJob = state.id;
    this.answer.hidden = false;
    this.points = result.points.map((one) => ({ ...one, told: sentenceOf(one) }));
    keepInStep(this.verdict, result.verdict, () => put(null, "p", null, { dir: "auto" }), (p, text) => (p.textContent = text));
    const own = this.points.some((one) => one.own) ? " Square: your rock as it is now." : "";
    this.key.textContent = `Dashed line: at most ${percent(result.level)} is wanted.${own} Choose a point to see its figures and its tank.`;
    this.picture.show({ ...result, points: this.points }, this.#chosen);
    this.table([["", "pinned", "95 %", "swims free", "simulated tanks"], ...this.points.map(rowOf)]);
    this.figures(result.pieces);
    this.#tellPoint();
  }

  #choose(number) {
    this.#chosen = number;
    this.#tellPoint(true);
  }

  /** What is said of the point chosen; its buttons stay while figures come in. */
  #tellPoint(isNew = false) {
    const one = this.points.find(({ number }) => number === this.#chosen);
    this.point.hidden = !one;
    if (!one) return;
    if (isNew || !this.pointText) {
      clear(this.point);
      put(this.point, "h4", one.text, { dir: "auto" });
      this.pointText = put(this.point, "p");
      const line = put(this.point, "div", null, { class: "buttons" });
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
  const id = newId("choice");
  const field = put(parent, "div", null, { class: "field" });
  put(field, "label", label, { for: id });
  const made = put(field, "select", null, { id });
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
