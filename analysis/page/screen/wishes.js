// What could live here: the best stock and rock that a wish list allows, as marks and as plans to take.

import { draw, Marks, percent, Scale } from "./charts.js";
import { clear, labelled, on, put, set } from "./dom.js";
import { actButton } from "./field.js";
import { cautionsAt, Runner } from "./runner.js";

const EXAMPLE = "duboisi 1m 3-6f; Ikola at most 8; at most 20 fish; rock 60 kg";
const MINUTES = [2, 5, 10, 20, 40];
const HEIGHT = 320;
const EDGE = { left: 48, right: 30, top: 16, below: 40 };

export const mount = (parent, draft) => new Wishes(parent, draft);

class Wishes extends Runner {
  constructor(parent, draft) {
    const told = "The fish of the tank stay. Of those you like, stocks and rock are tried that leave the worst-off fish best off.";
    put(parent, "p", told, { class: "soft" });
    const want = labelled(parent, "Fish I like, and my limits", "textarea", { rows: 2, placeholder: EXAMPLE, maxlength: 4000 });
    const note = put(want.box, "p", "", { class: "note" });
    const minutes = labelled(put(parent, "div", null, { class: "asked" }), "How long to look, on two free cores", "select").input;
    minutes.append(...MINUTES.map((value) => new Option(`about ${value} minutes`, value)));
    minutes.value = 10;
    super(parent, draft, { kind: "best", action: "What could live here?", name: "The search for a stock" });
    Object.assign(this, { want: want.input, minutes });
    this.picture = new FrontPicture(this.answer, (number) => this.#choose(number));
    this.list = put(this.answer, "ol", null, { class: "changes" });
    cautionsAt(this.answer, draft, ["rock", "law"]);
    const say = () => {
      const own = /^\s*\[wanted/m.test(draft.file?.text ?? "");
      note.textContent = own ? "Left empty: the wish list of the file." : `For instance: ${EXAMPLE}`;
    };
    on(draft, "view", say);
    if (draft.view) say();
  }

  what() {
    return { want: this.want.value, minutes: Number(this.minutes.value) };
  }

  takenUp({ want, minutes }) {
    this.want.value = want ?? "";
    this.minutes.value = minutes ?? 10;
  }

  show({ front, plans }) {
    this.picture.show(front);
    clear(this.list);
    for (const one of front.plans.filter(({ number }) => number)) this.#entry(one, plans[one.number - 1]);
  }

  #entry(one, { rock, can_copy: canCopy }) {
    const item = put(this.list, "li", null, { tabindex: -1 });
    put(item, "p", `${one.number}. ${one.stock}`, { class: "name", dir: "auto" });
    put(item, "p", `${sentenceOf(one)}${rock ? ` ${rock.charAt(0).toUpperCase()}${rock.slice(1)}.` : ""}`);
    if (!canCopy) return;
    const take = () => this.draft.edit([{ do: "take change", job: this.job, number: one.number }], `as a copy: ${one.stock}`);
    actButton(put(item, "div", null, { class: "buttons" }), "Make it a copy", take, { "aria-label": `Make it a copy: ${one.stock}` });
  }

  #choose(number) {
    this.list.children[number - 1]?.focus();
  }
}

const sentenceOf = ({ fish, species, kept, low, high, word }) => {
  const sure = Number.isFinite(low) ? ` (95 %: ${percent(low).replace(/ %$/, "")} to ${percent(high)})` : "";
  return `${fish} fish of ${species} species; the worst-off keep ${percent(kept)}${sure}, ${word}.`;
};

class FrontPicture extends Marks {
  #plans = [];

  constructor(parent, choose) {
    put(parent, "p", "Upwards: what the worst-off fish keep of the swimming about they would do if left alone", { class: "axis-name" });
    super(parent, choose, { class: "amounts wishes-picture" });
    put(parent, "p", "Across: fish in the tank", { class: "axis-name across" });
    this.told = put(parent, "p", "", { class: "soft wishes-told" });
  }

  show(front) {
    this.#plans = front.plans;
    const first = front.plans.filter(({ number }) => number);
    set(this.frame, "aria-label", `What the worst-off keep, by how many fish there are. ${first.length} plans, by arrow keys.`);
    this.told.textContent = `Numbered: plans that no other beats in everything. Small: others that were tried. A mark has as many corners as there are species, a lozenge is of two. ${front.tanks} simulated tanks.`;
    this.paint();
  }

  paintMarks(shown, width) {
    if (!this.#plans.length) return;
    set(shown, "height", HEIGHT);
    const fish = this.#plans.map((one) => one.fish);
    const ends = this.#plans.flatMap(({ kept, low, high }) => [kept, low, high].filter(Number.isFinite));
    const across = new Scale(Math.min(...fish) - 1, Math.max(...fish) + 1, 1, String);
    const up = new Scale(Math.max(0, Math.floor(10 * Math.min(...ends)) / 10), Math.min(1.2, Math.ceil(10 * Math.max(...ends)) / 10), 0.1, percent);
    const place = {
      x: (many) => EDGE.left + across.share(many) * (width - EDGE.left - EDGE.right),
      y: (kept) => EDGE.top + (1 - up.share(kept)) * (HEIGHT - EDGE.top - EDGE.below),
    };
    paintAxes(shown, width, place, up, across);
    for (const one of this.#plans) if (!one.number) paintPlan(draw(shown, "g", { class: "point other" }), one, place, 5);
    for (const one of this.#plans) if (one.number) this.#numbered(shown, one, place);
  }

  #numbered(shown, one, place) {
    const [x, y] = [place.x(one.fish), place.y(one.kept)];
    const props = { class: "point", "aria-label": `Plan ${one.number}: ${one.stock}. ${sentenceOf(one)}` };
    const mark = this.mark(shown, one.number, props, { x: x - 14, y: y - 14, width: 28, height: 28 });
    if (Number.isFinite(one.low)) draw(mark, "line", { x1: x, x2: x, y1: place.y(one.low), y2: place.y(one.high), class: "sure-line" });
    paintPlan(mark, one, place, 11);
    draw(mark, "text", { x: x + 15, y: y - 8, class: "numbered" }, String(one.number));
  }
}

function paintAxes(shown, width, place, up, across) {
  for (const mark of up.marks) {
    const y = place.y(mark);
    draw(shown, "line", { x1: EDGE.left, x2: width - EDGE.right, y1: y, y2: y, class: "grid" });
    draw(shown, "text", { x: EDGE.left - 8, y: y + 5, "text-anchor": "end", class: "tick" }, percent(mark));
  }
  const step = [1, 2, 5, 10, 20].find((one) => (across.high - across.low) / one <= width / 60) ?? 50;
  for (let many = Math.ceil(across.low / step) * step; many <= across.high; many += step) {
    draw(shown, "text", { x: place.x(many), y: HEIGHT - 12, "text-anchor": "middle", class: "tick" }, String(many));
  }
}

/** A mark with as many corners as there are species; of one it is round. */
function paintPlan(parent, { fish, species, kept }, place, size) {
  const [x, y] = [place.x(fish), place.y(kept)];
  if (species < 2) return draw(parent, "circle", { cx: x, cy: y, r: size, class: "dot" });
  const corners = species === 2 ? 4 : species; // a lozenge: two of its corners are sharp
  const points = Array.from({ length: corners }, (_, k) => {
    const turn = (2 * Math.PI * k) / corners - (species === 4 ? Math.PI / 4 : Math.PI / 2);
    const wide = species === 2 ? 0.6 : 1.15;
    return `${(x + wide * size * Math.cos(turn)).toFixed(1)},${(y + 1.25 * size * Math.sin(turn)).toFixed(1)}`;
  });
  return draw(parent, "polygon", { points: points.join(" "), class: "dot" });
}
