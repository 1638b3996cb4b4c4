// The days below the tank: scrubbed by hand, with what happens on which of them; fish can be let go over a day.

import { button, clear, fillText, keepInStep, labelled, on, put, set } from "./dom.js";
import { handleMarks, Months, timelineOpener } from "./timeline.js";

const LEAST_DAYS = 7; // shown, so that there is room to put fish in later
const MOST_NUMBERS = 16; // below the line

export class Days {
  constructor(parent, stage) {
    this.stage = stage;
    const { draft } = stage;
    this.box = put(parent, "div", null, { class: "days", id: "days" });
    this.clock = put(this.box, "p", null, { class: "clock" });
    const made = labelled(this.box, "Day shown", "input", { type: "range", min: 1, step: 1, value: 1, id: "day" }, "track");
    made.label.className = "unseen";
    set(made.label, "for", "day");
    this.range = made.input;
    this.track = made.box;
    this.measured = put(this.track, "span", null, { class: "measured", "aria-hidden": "true" });
    this.numbers = put(this.track, "span", null, { class: "numbers", "aria-hidden": "true" });
    this.marks = put(this.track, "span", null, { class: "marks" });
    this.said = put(this.box, "p", null, { class: "that-day soft", dir: "auto" });
    timelineOpener(this.box);
    this.months = new Months(this.box, draft);
    handleMarks(this, { stage });
    on(this.range, "input", () => this.#scrub());
    on(draft, "units", () => this.show());
    on(stage, "frame film", () => this.tell());
  }

  get last() {
    return this.stage.draft.view?.time?.days ?? 1;
  }

  /** Days from the first to the last that is drawn. */
  get span() {
    return Math.max(LEAST_DAYS, this.last + 1);
  }

  /** The day, from 0, under a place of the page. */
  dayAt(clientX) {
    const { left, width } = this.track.getBoundingClientRect();
    return Math.max(0, Math.min(this.span - 1, Math.floor(((clientX - left) / width) * this.span)));
  }

  show() {
    const time = this.stage.draft.view?.time;
    this.range.max = this.span;
    this.range.value = this.stage.day;
    this.measured.hidden = !time;
    clear(this.marks);
    if (!time) return this.tell();
    const share = (day) => `${(100 * day) / this.span}%`;
    this.track.style.setProperty("--day", share(1));
    this.track.style.setProperty("--run", share(time.days));
    const apart = Math.ceil(this.span / MOST_NUMBERS);
    const days = Array.from({ length: this.span }, (_, k) => k + 1).filter((day) => (day - 1) % apart === 0);
    keepInStep(this.numbers, days, () => put(null, "span"), (one, day) => {
      one.textContent = day;
      one.style.left = share(day - 0.5);
    });
    Object.assign(this.measured.style, { left: share(time.measured_from), width: share(Math.max(0, time.days - time.measured_from)) });
    for (const day of new Set(time.events.map((one) => Math.floor(one.day)))) {
      if (day < 1 || day >= this.span) continue;
      const text = this.#eventsOf(day).join("; ");
      const props = { class: "mark", style: null, title: text, "aria-label": `Day ${day + 1}: ${text}`, "data-day": day };
      const mark = button(this.marks, "", () => this.stage.goTo(day + 1), props);
      mark.style.left = share(day + 0.5);
    }
    this.tell();
  }

  tell() {
    const { stage } = this;
    const { film, hand, day, now } = stage;
    const is = (film && !film.still && hand.clockText(film, now).slice(0, 5)) || "";
    const trials = film?.tanks[0] && !film.still ? `simulated tank 1 of ${film.of}, fish of a model` : "";
    fillText(this.clock, [`Day ${day} of ${this.last}`, is, trials].filter(Boolean).join(" \u00b7 "));
    set(this.range, "aria-valuetext", `Day ${day} of ${this.last}`);
    const time = stage.draft.view?.time;
    if (!time) return fillText(this.said, "");
    const measured = day > time.measured_from ? "The answer counts from this day." : "They get used to the tank; nothing counts yet.";
    const events = this.#eventsOf(day - 1).join("; ");
    const all = day - 1 > 0 && events ? `${events.charAt(0).toUpperCase()}${events.slice(1)}. ` : "";
    fillText(this.said, `${all}${measured}`);
    this.box.dataset.day = day;
  }

  #eventsOf(day) {
    return (this.stage.draft.view?.time?.events ?? []).filter((one) => Math.floor(one.day) === day).map((one) => one.text);
  }

  #scrub() {
    const day = Math.min(this.last, Number(this.range.value));
    if (day !== this.stage.day) this.stage.goTo(day);
    else this.range.value = day;
  }
}
