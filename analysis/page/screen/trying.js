// What the trials say of the tank that is shown: every fish, worst off first, and all simulated tanks to watch.

import { axis, interval, intervalKey, percent, Scale } from "./charts.js";
import { bring, button, buttonRow, byId, clear, details, fillText, keepInStep, keepTexts, labelled, on, put, showTable } from "./dom.js";
import { Dots, dotsKey, sentenceOf } from "./dots.js";
import { hasFilm, showFilm } from "./film.js";
import { cautionsAt, detailsBox, Runner } from "./runner.js";

const FIRST = 6; // fish shown at once; the others open
const LEAST_LOST = -0.5; // how far below nothing the scale of lost swimming reaches at most
const LOST = "Lost of the free swimming it would have if left alone";
const FREE = "Swims free, of the lit time";

export const mount = (parent, draft) => new Tries(parent, draft);

class Tries extends Runner {
  #auto = false; // the film shown was not asked for by anybody

  constructor(parent, draft) {
    const first = "The first numbers come after a moment and get sharper.";
    put(parent, "p", `The tank that is shown is simulated many times. ${first}`, { class: "soft" });
    super(parent, draft, { kind: "try", action: "Try it", name: "The try", isWhich: true });
    this.#makeAnswer(this.answer);
    on(draft, "view", () => this.#nameIt());
    on(byId("try-now"), "click", () => {
      bring(parent.closest("section")); // where the answer will stand
      this.run();
    });
  }

  what() {
    return { which: this.draft.which };
  }

  brief({ headline }) {
    return headline?.[0] ?? "";
  }

  farther(text) {
    byId("try-far").textContent = text;
  }

  #makeAnswer(box) {
    this.headline = put(box, "div", null, { class: "headline" });
    cautionsAt(box, this.draft, ["sick fish"]);
    put(box, "h3", "Every fish, worst off first");
    this.reading = put(box, "div", null, { class: "soft" });
    intervalKey(box, "stroke: mean over the tanks");
    const figured = put(box, "div", null, { class: "figured" });
    this.axis = put(figured, "div");
    this.fish = put(figured, "ol", null, { class: "fates" });
    this.more = details(figured, "", { hidden: true });
    this.rest = put(this.more, "ol", null, { class: "fates", start: FIRST + 1 });
    put(box, "h3", "Tanks to watch");
    this.telling = buttonRow(box);
    this.#makeNumber(box);
    this.dots = new Dots(box, (trial) => this.watch(trial));
    dotsKey(box, "one in which the watched species was pinned");
    this.tankTable = detailsBox(box, "All simulated tanks as a table", (inside, tanks) => showTable(inside, tableOf(tanks)));
  }

  #makeNumber(box) {
    const watch = (event) => {
      event.preventDefault();
      this.watch(number.value === "" ? null : Number(number.value) - 1);
    };
    const form = put(box, "form", null, { novalidate: true, onsubmit: watch });
    const props = { type: "number", min: 1, step: 1, value: 1, required: true };
    const line = labelled(form, "Any simulated tank, by its number", "input", props, "buttons");
    const number = line.input;
    put(line.box, "button", "Watch that tank", { type: "submit" });
  }

  #nameIt() {
    const name = this.draft.view?.names?.[this.draft.which];
    this.start.textContent = this.draft.which && name ? `Try it: ${name}` : "Try it";
  }

  show(result, state) {
    keepTexts(this.headline, result.headline ?? []);
    keepTexts(this.reading, result.reading);
    this.#showFish(result.fish);
    this.#showTelling(result);
    this.dots.show(result.tanks, `Each simulated tank, by the share of lit time in which ${result.watch} swims free`);
    this.tankTable(result.tanks);
    this.draft.tell("fish-known", result.fish.flatMap((one) => one.labels));
    this.#playOne(result, state);
  }

  #showFish(fish) {
    const isLost = fish.some((one) => one.lost);
    const scale = isLost ? lostScale(fish) : new Scale(0, 1, 0.25, percent);
    clear(this.axis);
    axis(this.axis, scale, isLost ? LOST : FREE);
    const fill = (isFirst) => (item, one, k) => fillFish(item, one, { scale, isWorst: isFirst && k === 0, isLost });
    keepInStep(this.fish, fish.slice(0, FIRST), () => this.#makeFish(), fill(true));
    keepInStep(this.rest, fish.slice(FIRST), () => this.#makeFish(), fill(false));
    this.more.hidden = fish.length <= FIRST;
    fillText(this.more.firstChild, `The other ${fish.slice(FIRST).flatMap((one) => one.labels).length} fish`);
  }

  #makeFish() {
    const item = put(null, "li", null, { class: "lined" });
    item.name = put(item, "p", null, { class: "name" });
    item.drawing = put(item, "div", null, { class: "drawing" });
    item.text = put(item, "p", null, { class: "figure" });
    item.buttons = buttonRow(item);
    button(item.buttons, "What helps it?", () => this.draft.tell("help-wanted", item.label));
    button(item.buttons, "Watch it", () => this.watch(this.result?.telling?.worst ?? null, item.label));
    return item;
  }

  #showTelling({ telling, tanks }) {
    const of = (trial) => tanks.find((tank) => tank.trial === trial);
    const offered = [
      { text: "A typical tank", trial: telling?.middle },
      { text: "The one where it swam free least", trial: telling?.worst },
      { text: "One where it was pinned", trial: telling?.pinned, none: "Pinned in none so far" },
      { text: "One where it was not pinned", trial: telling?.unpinned, none: "Pinned in all so far" },
    ];
    const make = () => button(null, "", ({ currentTarget }) => this.watch(currentTarget.trial));
    keepInStep(this.telling, offered, make, (pressed, { text, trial, none = text }) => {
      const there = Number.isInteger(trial);
      pressed.trial = trial;
      pressed.disabled = !there;
      pressed.textContent = there ? text : none;
      pressed.title = there && of(trial) ? sentenceOf(of(trial)) : "";
    });
  }

  /** One tank plays while the others run; a film that somebody asked for stays. */
  #playOne({ telling }, { state, of }) {
    const mark = `${of.which} ${of.file.text}`;
    if (state !== "running" || this.played === mark || !Number.isInteger(telling?.middle)) return;
    this.played = mark;
    if (hasFilm() && !this.#auto) return;
    this.#auto = true;
    showFilm(this.draft, { which: of.which, trial: telling.middle, file: of.file, title: of.name, quiet: true });
  }

  watch(trial, label = "") {
    this.#auto = false;
    const of = this.of ?? { which: this.draft.which, file: this.draft.file, name: "" };
    const title = label ? `${of.name}, where ${label} is among the worst off` : of.name;
    return showFilm(this.draft, { which: of.which, trial, file: of.file, title });
  }
}

const PARTS = [["lost", "loses"], ["chased", "chased"], ["hidden", "hidden"], ["pinned", "pinned"]];

function fillFish(item, one, { scale, isWorst, isLost }) {
  item.label = one.labels[0];
  fillText(item.name, one.label);
  const figure = isLost ? one.lost : one.free;
  clear(item.drawing);
  if (figure) interval(item.drawing, figure, scale);
  const told = PARTS.filter(([name]) => one[name]?.said).map(([name, verb]) => `${verb} ${one[name].said}`);
  if (!isLost && figure) told.unshift(`swims free ${figure.said}`);
  fillText(item.text, `${told.join("; ")}.`);
  item.buttons.hidden = !isWorst;
}

function lostScale(fish) {
  const lows = fish.flatMap(({ lost }) => (lost ? [lost.value, lost.low, lost.guess_low] : [])).filter(Number.isFinite);
  return new Scale(Math.max(LEAST_LOST, Math.floor(4 * Math.min(0, ...lows)) / 4), 1, 0.25, percent);
}

function tableOf(tanks) {
  const yes = { true: "yes", false: "no" };
  const rows = tanks.map((one) => [`Tank ${one.trial + 1}`, percent(one.free), yes[one.pinned] ?? "-", Math.round(one.chases)]);
  return { head: true, rows: [["", "swam free", "pinned", "chases received"], ...rows] };
}

