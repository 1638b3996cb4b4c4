// The tank in the middle: simulated fish that swim, rock that can be moved, from the front and from above.

import { Refused } from "./ask.js";
import { button, clear, fillText, on, put, say, Teller } from "./dom.js";
import { markOf } from "./job.js";
import { Days } from "./days.js";
import { Films, player, stillFilm } from "./living.js";
import { Above } from "./rock_above.js";
import { Deeds } from "./rock_deeds.js";
import { handleKeys, handlePointer, KEYS } from "./rock_hands.js";
import { handleFront } from "./stage_hands.js";
import { paintFishAbove, paintOver } from "./stage_ink.js";
import { isOpen } from "./sheets.js";

const REST_MS = 200; // after a change, until its fish are asked for
const MOST_BESIDE = 4;
const GAP = 10; // px between front and view from above
const WIDE = 900; // px from which on tanks always stand beside one another
const WORDS = 44; // px for what is said above each of several
const RIM = 0.8; // cm of glass that the player draws round the water

/**
 * Events: "film": another film is shown; "fish": another fish, `followed`, or none; "frame": time has gone on.
 */
export class Stage extends Teller {
  tanks = []; // {which, view, box, canvas, over}
  film = null;
  day = 1;
  now = 0;
  followed = null; // label of a fish
  isBeside = false; // copies are shown beside the tank
  isPlaying = !matchMedia("(prefers-reduced-motion: reduce)").matches;
  #films = new Films();
  #mark = null;
  #timer = 0;
  #last = 0;
  #frames = 0;
  #isMoving = false;

  constructor(parent, draft, state) {
    super();
    Object.assign(this, { draft, state, deeds: new Deeds(state) });
    this.head = put(parent, "div", null, { class: "stage-head" });
    this.views = put(parent, "div", null, { class: "views" });
    this.fronts = put(this.views, "div", null, { class: "fronts" });
    this.#makeAbove(this.views);
    this.#makeFoot(put(parent, "div", null, { class: "stage-foot" }));
    this.days = new Days(parent, this);
    this.#listen();
  }

  #makeAbove(parent) {
    this.plan = put(parent, "div", null, { class: "plan" });
    const keys = "Arrows mark a place, Page up and Page down raise and lower its pile, M moves it, N lays a new one.";
    const told = { "aria-label": "The tank from above, back at the top", "aria-description": keys };
    this.box = put(this.plan, "div", null, { class: "rock-above", tabindex: 0, role: "application", ...told });
    this.above = new Above(put(this.box, "canvas", null, { "aria-hidden": "true" }));
    this.fishAbove = put(this.box, "canvas", null, { "aria-hidden": "true", class: "fish-above" });
    handlePointer(this.above, this.deeds, { tool: () => this.tool?.() ?? "move", look: (x, y) => this.look?.(x, y) });
    handleKeys(this.box, this.deeds, { look: (x, y) => this.look?.(x, y) });
  }

  #makeFoot(box) {
    this.play = button(box, "", () => this.setPlaying(!this.isPlaying), { class: "small", id: "play" });
    this.where = put(box, "span", null, { class: "rock-where", id: "rock-where" });
    const { deeds } = this;
    this.pile = put(box, "span", null, { class: "of-pile", role: "group", "aria-label": "The pile of rock that is marked" });
    button(this.pile, "Pile higher", () => deeds.stepHeap(1), { class: "small" });
    button(this.pile, "Pile lower", () => deeds.stepHeap(-1), { class: "small" });
    button(this.pile, "Take the pile out", () => deeds.takeOut(), { class: "small" });
    button(box, "New pile", () => deeds.putDown(), { class: "small", id: "new-pile" });
  }

  #listen() {
    const { draft, state, deeds } = this;
    on(draft, "view", () => this.#follow());
    on(state, "answer", () => this.#takeRock());
    on(state, "grid", () => this.#paintRock());
    on(deeds, "mark", () => this.#paintRock());
    on(this.box, "focus blur", () => this.#paintRock());
    on(draft, "units", () => this.#paintRock());
    on(document, "sheet", () => this.#paintRock());
    new ResizeObserver(() => this.layout()).observe(this.views);
    on(window, "resize", () => this.layout());
    requestAnimationFrame((ms) => this.#frame(ms));
  }

  // ---- what is shown

  get shown() {
    const { draft } = this;
    if (!this.isBeside) return [draft.which];
    const others = (draft.view?.copies ?? []).map((_, k) => k + 1);
    return [0, ...others].slice(0, MOST_BESIDE);
  }

  setBeside(isBeside) {
    this.isBeside = isBeside;
    this.#follow();
  }

  /** Show another day, or the first after the last. */
  goTo(day) {
    this.day = day;
    this.#follow();
  }

  #follow() {
    const { draft } = this;
    if (this.isBeside && !draft.view?.copies?.length) this.isBeside = false;
    const last = draft.view?.time?.days ?? this.day;
    this.day = Math.max(1, Math.min(this.day, last));
    this.#tellHead();
    this.days.show();
    const mark = JSON.stringify([markOf(draft.file), this.shown, this.day]);
    if (mark === this.#mark || !draft.view) return;
    this.#mark = mark;
    clearTimeout(this.#timer);
    if (draft.view.empty || !draft.view.good) {
      if (draft.view.empty) this.#showStill();
      return;
    }
    this.fronts.classList.toggle("late", this.film !== null);
    this.#timer = setTimeout(() => this.#ask(mark), this.film ? REST_MS : 0);
  }

  async #ask(mark) {
    try {
      const [hand, made] = await Promise.all([player(), this.#films.of(this.draft.file, this.shown, this.day)]);
      if (made && mark === this.#mark) this.#show(hand, made.film, this.shown);
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      this.fronts.classList.remove("late");
      this.#mark = null; // asked for again at the next change, or once the server answers
      if (!this.film) await this.#showStill();
    }
  }

  async #showStill() {
    const hand = await player();
    if (this.state.answer) this.#show(hand, stillFilm(this.state.answer.still), [this.draft.which]);
  }

  #show(hand, film, shown) {
    Object.assign(this, { hand, film, now: 0 });
    clear(this.fronts);
    this.fronts.classList.remove("late");
    this.tanks = film.tanks.map((told, k) => this.#tank(hand, told, shown[k]));
    if (!this.tanks.some(({ view }) => view.indexOf(this.followed) >= 0)) this.followed = null;
    this.layout();
    if (!film.still) document.documentElement.dataset.living = "yes";
    this.tell("film");
    this.tell("fish");
  }

  #tank(hand, told, which) {
    const figure = put(this.fronts, "figure", null, { class: "front" });
    const caption = put(figure, "figcaption");
    const box = put(figure, "div", null, { class: "glass" });
    const canvas = put(box, "canvas", null, { "aria-hidden": "true" });
    const name = this.draft.view.names?.[which] ?? "the tank";
    const label = `Through the front glass: ${name}, ${told.fish.length} fish. They are told of one by one under \u201cEvery fish\u201d.`;
    const over = put(box, "canvas", null, { class: "over", role: "img", "aria-label": label });
    const view = new hand.TankView(this.film, told, canvas);
    view.strip = () => {}; // the view from above is a picture of its own here
    const tank = { which, view, figure, box, canvas, over, caption };
    if (this.film.tanks.length > 1) {
      put(caption, "bdi", this.draft.view.names[which], { class: "name" });
      const differs = which ? this.draft.view.copies[which - 1].changes : [];
      put(caption, "span", differs.join("; "), { dir: "auto" });
    }
    handleFront(this, tank);
    return tank;
  }

  /** The rock as the server draws it now: the glass shows it at once, and new fish follow. */
  #takeRock() {
    const { answer } = this.state;
    if (!answer) return;
    if (!this.film) this.#showStill();
    for (const { view, which } of this.tanks) {
      if (which !== this.draft.which || view.laid === answer.still) continue;
      if (view.laid !== undefined || this.deeds.isCarrying) {
        Object.assign(view.told, answer.still);
        view.still = this.hand.paintStill(view.told, view.frame, this.film.slabs, view.ratio);
        view.all = true;
      }
      view.laid = answer.still;
    }
    if (this.film?.still) this.layout();
    this.#paintRock();
  }

  // ---- sizes

  layout() {
    if (!this.tanks.length) return;
    const isTall = getComputedStyle(this.views).display === "contents"; // a narrow window: the page scrolls
    const wide = isTall ? document.documentElement.clientWidth - 2 * GAP : this.views.clientWidth;
    const high = isTall ? 0.5 * innerHeight : this.views.clientHeight;
    if (wide < 40 || high < 40) return;
    const count = this.tanks.length;
    const [long, deep, tall] = this.tanks[0].view.told.size;
    const [across, down] = this.#arrangement(count, wide, high);
    this.plan.hidden = count > 1;
    const words = count > 1 ? WORDS : 0;
    const room = high / down - GAP - words;
    const share = count === 1 ? Math.min(deep, 0.6 * (tall + 2 * RIM)) : 0;
    const scale = Math.min((wide / across - GAP * (across - 1)) / (long + 2 * RIM), (room - GAP) / (tall + 2 * RIM + share));
    const left = room - GAP - scale * (tall + 2 * RIM); // the view from above has what the front leaves, up to its true depth
    const ratio = Math.min(2, devicePixelRatio || 1);
    for (const { view, box, over } of this.tanks) {
      view.resize(scale * (long + 2 * RIM) + 0.01, 1e6, ratio, 13);
      const height = Math.ceil(view.frame.stripTop - view.frame.scale);
      Object.assign(box.style, { width: `${view.frame.width}px`, height: `${height}px` });
      Object.assign(over, { width: view.frame.width * ratio, height: height * ratio });
      Object.assign(over.style, { width: `${view.frame.width}px`, height: `${height}px` });
    }
    this.scale = scale;
    this.planHigh = Math.min(deep * scale, isTall ? 0.14 * innerHeight : left);
    this.plan.style.paddingInline = `${RIM * scale}px`;
    this.plan.style.width = `${scale * (long + 2 * RIM)}px`;
    this.fronts.style.gridTemplateColumns = `repeat(${across}, auto)`;
    this.paint();
    this.#paintRock();
  }

  /** Columns and rows: beside one another where there is room, else whichever shows them larger. */
  #arrangement(count, wide, high) {
    const [long, , tall] = this.tanks[0].view.told.size;
    const scale = ([across, down]) => Math.min(wide / across / long, (high / down - WORDS) / tall);
    const [beside, above] = [[Math.min(2, count), Math.ceil(count / 2)], [1, count]];
    return wide >= WIDE || scale(beside) >= scale(above) ? beside : above;
  }

  // ---- painting

  #frame(ms) {
    const gone = Math.min(100, ms - (this.#last || ms));
    this.#last = ms;
    this.#frames += 1;
    const isSeen = !document.hidden && !isOpen("film"); // one tank plays at a time
    const isMoving = this.isPlaying && this.film && !this.film.still && isSeen;
    if (isMoving) {
      this.now += (gone / 1000) * this.film.speed;
      if (this.now >= this.film.seconds) this.#nextDay();
      this.paint();
    }
    if (isMoving !== this.#isMoving || (isMoving && this.#frames % 15 === 0)) this.tell("frame");
    this.#isMoving = isMoving;
    requestAnimationFrame((next) => this.#frame(next));
  }

  /** At the end of the minutes of a day the next one follows; after the last day these minutes come again. */
  #nextDay() {
    const { time } = this.draft.view ?? {};
    this.now = 0;
    for (const { view } of this.tanks) view.all = true;
    if (time && this.day < time.days) this.goTo(this.day + 1);
  }

  setPlaying(isPlaying) {
    this.isPlaying = isPlaying;
    this.#tellHead();
    this.tell("frame");
  }

  paint() {
    for (const { view } of this.tanks) {
      const follow = view.indexOf(this.followed);
      view.paint(this.now, { follow, territories: follow >= 0, speed: this.film.speed, isPlaying: this.isPlaying });
    }
    if (!this.plan.hidden) paintFishAbove(this);
  }

  #paintRock() {
    if (this.isDue) return;
    this.isDue = true;
    requestAnimationFrame(() => {
      this.isDue = false;
      const { state, deeds } = this;
      const isFocused = document.activeElement === this.box;
      fillText(this.where, isFocused || isOpen("rock") ? deeds.where : "");
      this.pile.hidden = !deeds.isMarked || !deeds.heap.length;
      if (!state.answer || !this.scale) return;
      const isPlain = !isFocused && !isOpen("rock");
      const long = state.size[0] * this.scale;
      this.above.paint(state, { cursor: isPlain ? null : deeds.cursor, heap: deeds.isMarked || !isPlain ? deeds.heap : [], isFocused, isPlain }, long, this.planHigh);
      for (const tank of this.tanks) paintOver(this, tank);
      document.documentElement.dataset.drawn = "yes";
      if (!this.isPlaying) this.paint();
    });
  }

  #tellHead() {
    fillText(this.play, this.isPlaying ? "Pause" : "Play");
  }

  // ---- fish

  follow(label) {
    this.followed = label;
    this.paint();
    this.tell("fish");
    if (label) say(label);
  }
}

export { KEYS };
