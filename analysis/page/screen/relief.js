// What helps: changes that were tried for a fish, those put forward first.

import { axis, interval, points, scaleAround } from "./charts.js";
import { button, buttonRow, clear, labelled, on, paragraphs, put } from "./dom.js";
import { actButton } from "./field.js";
import { showFilm } from "./film.js";
import { cautionsAt, detailsBox, Runner } from "./runner.js";
import { open } from "./sheets.js";

const ANYONE = "whoever is worst off";
const FORWARD = "put forward";
const HARMS = "helps, but others are worse off";

export const mount = (parent, draft) => new Relief(parent, draft);

class Relief extends Runner {
  constructor(parent, draft) {
    const fish = labelled(parent, "Which fish to help", "select").input;
    fish.append(new Option(ANYONE, ""));
    const told = "Ordinary changes of stock, rock and order are tried on the tank as it is, each in many simulated tanks.";
    put(parent, "p", told, { class: "soft" });
    super(parent, draft, { kind: "relief", action: "What helps?", name: "The search for what helps" });
    const box = this.answer;
    this.fish = fish;
    cautionsAt(box, draft, ["sick fish"]);
    this.forward = put(box, "div");
    cautionsAt(box, draft, ["rock", "power", "law"]);
    const title = "Tried, but not suggested";
    this.others = detailsBox(box, title, (inside, rest) => this.#listRest(inside, rest));
    on(draft, "fish-known", ({ detail }) => this.#offer(detail));
    on(draft, "help-wanted", ({ detail }) => this.help(detail));
  }

  what() {
    return { fish: this.fish.value || null };
  }

  takenUp({ fish }) {
    this.#choose(fish);
  }

  /** Offer the fish of the last try, worst off first; what was chosen stays chosen. */
  #offer(labels) {
    const told = labels.join("\n");
    if (told === this.offered || document.activeElement === this.fish) return;
    this.offered = told;
    const chosen = this.fish.value;
    this.fish.replaceChildren(new Option(ANYONE, ""), ...labels.map((label) => new Option(label)));
    this.#choose(chosen);
  }

  #choose(label) {
    if (label && ![...this.fish.options].some((one) => one.value === label)) this.fish.append(new Option(label));
    this.fish.value = label ?? "";
  }

  help(label) {
    this.#choose(label);
    open("what-helps", this.start);
    return this.run();
  }

  show(result) {
    const changes = result.changes.map((one) => ({ ...one, numbers: numbersOf(result, one) }));
    const told = changes.map((one) => [one.number, one.verdict, one.text, ...one.words].join("\n")).join("\n\n");
    if (told === this.told) return;
    this.told = told;
    this.#listForward(changes);
    this.others(changes.filter((one) => one.verdict !== FORWARD));
  }

  #listForward(changes) {
    const held = this.forward.contains(document.activeElement);
    clear(this.forward);
    const those = changes.filter((one) => one.verdict === FORWARD);
    if (!those.length) {
      put(this.forward, "p", "Nothing to suggest: no change clearly helped.", { class: "soft", tabindex: -1 });
    } else {
      const scale = scaleAround(those.flatMap(({ numbers }) => [numbers?.low, numbers?.high]), points, { most: 5, atLeast: 0.2 });
      if (those.some((one) => one.numbers)) axis(this.forward, scale, "How much more they lose, in % of their swimming: left of 0 they lose less");
      const list = put(this.forward, "ol", null, { class: "changes" });
      for (const one of those) this.#entry(put(list, "li"), one, scale);
    }
    if (held) (this.forward.querySelector("button") ?? this.start).focus();
  }

  #entry(item, one, scale) {
    put(item, "p", one.text, { class: "name", dir: "auto" });
    const drawing = one.numbers && scale ? put(item, "div", null, { class: "drawing" }) : null;
    if (drawing) interval(drawing, one.numbers, scale, "difference");
    const isTold = one.words.some((text) => text.includes(one.cost));
    paragraphs(item, isTold ? one.words : [...one.words, `Takes: ${one.cost}`]);
    const line = buttonRow(item);
    if (one.can_film) button(line, "Watch side by side", () => this.#watch(one), { "aria-label": `Watch side by side with the tank as it is: ${one.text}` });
    if (one.can_copy) actButton(line, "Make it a copy", () => this.#take(one), { "aria-label": `Make it a copy: ${one.text}` });
  }

  #listRest(inside, rest) {
    for (const verdict of new Set([HARMS, ...rest.map((one) => one.verdict)])) {
      const those = rest.filter((one) => one.verdict === verdict);
      if (!those.length) continue;
      put(inside, "h4", verdict.charAt(0).toUpperCase() + verdict.slice(1));
      const list = put(inside, "ul", null, { class: "changes" });
      for (const one of those) this.#entry(put(list, "li"), one, null);
    }
  }

  #watch({ number, text }) {
    const change = { job: this.job, number };
    return showFilm(this.draft, { which: 0, change, file: this.of.file, title: `the tank as it is, and ${text}` });
  }

  #take({ number, text }) {
    return this.draft.edit([{ do: "take change", job: this.job, number }], `as a copy: ${text}`);
  }
}

function numbersOf({ json }, { text }) {
  return json?.changes?.find((one) => one.name === text)?.figures?.lost?.difference ?? null;
}
