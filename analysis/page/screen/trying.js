// The answer beside the tank: what its trials say in a few lines, and, opened, every fish and every simulated tank.

import { axis, interval, intervalKey, percent, Scale } from "./charts.js";
import { button, buttonRow, byId, clear, details, fillText, keepInStep, keepTexts, labelled, on, put, showTable } from "./dom.js";
import { Dots, dotsKey, sentenceOf } from "./dots.js";
import { Estimate } from "./estimate.js";
import { FishCard } from "./fish_card.js";
import { showFilm } from "./film.js";
import { cautionsAt, detailsBox, Runner } from "./runner.js";
import { open, opener } from "./sheets.js";
import { showAllProblems } from "./told.js";

const HEAD = "How do they fare?"; // where the file asks nothing
const FIRST = 6; // fish shown at once; the others open
const LEAST_LOST = -0.5; // how far below nothing the scale of lost swimming reaches at most
const LOST = "Lost of the free swimming it would have if left alone";
const FREE = "Swims free, of the lit time";

export const mount = (parent, draft, stage) => new Tries(parent, draft, stage);

class Tries extends Runner {
  constructor(parent, draft, stage) {
    const head = put(parent, "h2", HEAD, { id: "answer-head", tabindex: -1, dir: "auto" });
    const wrong = put(parent, "div", null, { class: "to-do", hidden: true, id: "problems-box" });
    const news = put(parent, "div", null, { class: "news", role: "status", hidden: true });
    const nothing = put(parent, "p", null, { class: "soft" });
    const estimate = new Estimate(parent, draft);
    super(parent, draft, { kind: "try", action: "Try it", name: "The try", isWhich: true, deep: byId("tries-box") });
    Object.assign(this, { head, nothing, estimate, word: put(null, "p", "", { class: "verdict" }) });
    this.headline.before(this.word);
    this.#makeMore(parent);
    this.card = new FishCard(parent, draft, stage);
    const cautions = put(parent, "div", null, { class: "at-foot" });
    cautionsAt(cautions, draft, ["sick fish"]);
    this.#makeFigures(byId("tries-box"));
    on(draft, "view", ({ detail }) => {
      requestAnimationFrame(() => showAllProblems(wrong, draft.view)); // once the fields have shown theirs
      if (detail.cause !== "show") news.hidden = true;
      this.#nameIt();
    });
    on(draft, "news", ({ detail }) => {
      news.hidden = !detail.length;
      clear(news);
      for (const text of detail) put(news, "p", text, { dir: "auto" });
    });
  }

  what() {
    return { which: this.draft.which };
  }

  #makeMore(parent) {
    const more = put(parent, "div", null, { class: "asks", role: "group", "aria-label": "Ask more" });
    opener(more, "Every fish", "tries");
    opener(more, "What helps?", "what-helps");
    opener(more, "Less or more", "amounts");
    opener(more, "How much rock?", "how-much-rock");
    opener(more, "Against a copy", "what-if");
  }

  #makeFigures(box) {
    const first = "The tank that is shown is simulated many times. First numbers come after a moment and get sharper.";
    this.none = put(box, "p", first, { class: "soft" });
    const inside = (this.whole = put(box, "div", null, { hidden: true }));
    this.older2 = put(inside, "p", null, { class: "older", hidden: true });
    put(inside, "h3", "Every fish, worst off first");
    this.reading = put(inside, "div", null, { class: "soft" });
    intervalKey(inside, "stroke: mean over the tanks");
    const figured = put(inside, "div", null, { class: "figured" });
    this.axis = put(figured, "div");
    this.fish = put(figured, "ol", null, { class: "fates" });
    this.more = details(figured, "", { hidden: true });
    this.rest = put(this.more, "ol", null, { class: "fates", start: FIRST + 1 });
    put(inside, "h3", "Tanks to watch");
    this.telling = buttonRow(inside);
    this.#makeNumber(inside);
    this.dots = new Dots(inside, (trial) => this.watch(trial));
    dotsKey(inside, "one in which the watched species was pinned");
    this.tankTable = detailsBox(inside, "All simulated tanks as a table", (place, tanks) => showTable(place, tableOf(tanks)));
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
    const { view, which } = this.draft;
    const name = view?.names?.[which];
    this.start.textContent = which && name ? `Try it: ${name}` : "Try it";
    this.start.hidden = Boolean(view?.empty);
    this.nothing.hidden = Boolean(this.state) && !view?.empty;
    fillText(this.head, view?.fields?.question?.value || HEAD);
    const ready = "Press \u201cTry it\u201d: the tank is then simulated many times.";
    fillText(this.nothing, view?.empty ? "Nothing to say before there are fish in it." : ready);
  }

  show(result) {
    this.none.hidden = true;
    this.whole.hidden = false;
    this.draft.tell("life", result.life ?? null);
    keepTexts(this.reading, result.reading);
    this.#showFish(result.fish);
    this.#showTelling(result);
    this.dots.show(result.tanks, `Each simulated tank, by the share of lit time in which ${result.watch} swims free`);
    this.tankTable(result.tanks);
    this.draft.tell("fish-known", result.fish.flatMap((one) => one.labels));
    this.#nameIt();
  }

  /** The word of the verdict large, the rest of the few lines below it. */
  tell([verdict = "", ...others]) {
    const [word, rest] = verdict.split(/:(.*)/s);
    fillText(this.word, rest ? word : "");
    const said = (rest ?? verdict).trim();
    super.tell([said.charAt(0).toUpperCase() + said.slice(1), ...others]);
  }

  older(text) {
    this.estimate.settle(Boolean(this.result) && !text);
    this.older2.hidden = !text;
    fillText(this.older2, text);
    this.answer.classList.toggle("stale", Boolean(text));
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

  watch(trial, label = "") {
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

