// Looks over a real tank by thumb: once a minute, group by group, how many are out; chases between. It needs nothing else.

const LOOK_S = 60; // seconds from one look to the next
const COLUMNS = "watch,row,date,start,minutes,watched,chaser,chased,act,count,fish,minute,place,note,noted,light".split(",");

const put = (parent, tag, text, props = {}) => {
  const made = document.createElement(tag);
  if (text !== undefined && text !== null) made.textContent = text;
  for (const [name, value] of Object.entries(props)) {
    if (typeof value === "function") made.addEventListener(name.slice(2), value);
    else if (value !== null) made.setAttribute(name, value);
  }
  parent.append(made);
  return made;
};
const cell = (text) => (/[",\n]/.test(String(text)) ? `"${String(text).replace(/"/g, '""')}"` : String(text));
const line = (values) => COLUMNS.map((name) => cell(values[name] ?? "")).join(",");
const two = (number) => String(number).padStart(2, "0");

/** A store that keeps a value under a name, or as long as the page is open where the browser keeps nothing. */
function storeOf(name) {
  let value = null;
  return {
    get() {
      try {
        return JSON.parse(localStorage.getItem(name)) ?? value;
      } catch {
        return value;
      }
    },
    set(next) {
      value = next;
      try {
        localStorage.setItem(name, JSON.stringify(next));
      } catch {
        // it is kept in memory until the page is closed
      }
    },
  };
}

/**
 * Fill a box. `lines`: groups {name, fish}, as a tally may name them; `tank`: stock and glass in one line; `save(name,
 * text)`: keeps a file.
 */
export class Looks {
  constructor(box, { lines, tank, save }) {
    Object.assign(this, { box, lines, tank, save, store: storeOf(`rockshy looks ${tank}`) });
    this.state = this.store.get() ?? { watches: [] };
    this.chaser = null;
    this.show();
    setInterval(() => this.tick(), 1000);
  }

  get watch() {
    return this.state.watches.find((one) => !one.ended) ?? null;
  }

  keep() {
    this.store.set(this.state);
    this.show();
  }

  begin() {
    const now = new Date();
    const date = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
    const start = `${two(now.getHours())}:${two(now.getMinutes())}`;
    this.state.watches.push({ began: Date.now(), date, start, looks: [], acts: [], chases: true, ended: null });
    this.keep();
  }

  /** Minutes since the watch began, of which each has one look. */
  get minute() {
    return Math.max(1, Math.ceil((Date.now() - this.watch.began) / 1000 / LOOK_S));
  }

  look(k, out) {
    const { minute } = this;
    const { looks } = this.watch;
    this.watch.looks = [...looks.filter((one) => one.minute !== minute || one.k !== k), { minute, k, out }];
    this.keep();
  }

  chase(k) {
    if (this.chaser === null) this.chaser = k;
    else {
      this.watch.acts.push({ minute: this.minute, chaser: this.chaser, chased: k });
      this.chaser = null;
    }
    this.keep();
  }

  takeBack() {
    if (this.chaser !== null) this.chaser = null;
    else this.watch.acts.pop();
    this.keep();
  }

  end() {
    this.watch.ended = Date.now();
    this.keep();
  }

  // ---- what is seen

  tick() {
    if (!this.watch || !this.clock?.isConnected) return;
    if (this.shownMinute !== this.minute) return void this.show();
    this.clock.textContent = this.clockText();
  }

  clockText() {
    const gone = Math.floor((Date.now() - this.watch.began) / 1000);
    return `Minute ${this.minute}, ${LOOK_S - (gone % LOOK_S)} s left`;
  }

  show() {
    const held = document.activeElement?.dataset?.name;
    this.box.replaceChildren();
    if (this.watch) this.showWatch();
    else this.showRest();
    if (held) [...this.box.querySelectorAll("button")].find((one) => one.dataset.name === held)?.focus();
  }

  showRest() {
    put(this.box, "p", "Stand where the fish know you, and wait until they have settled. Once a minute tap for each group how many are out; tap chases in between.");
    this.button(this.box, "Begin a watch", () => this.begin(), "main");
    const done = this.state.watches;
    if (!done.length) return;
    const acts = done.reduce((sum, one) => sum + one.acts.length, 0);
    const looks = done.reduce((sum, one) => sum + one.looks.length, 0);
    put(this.box, "p", `Kept: ${done.length} ${done.length === 1 ? "watch" : "watches"}, ${looks} looks, ${acts} chases.`);
    this.button(this.box, "Save the tally", () => this.save("tally.csv", this.text()));
    this.button(this.box, "Forget all watches", () => {
      this.state = { watches: [] };
      this.keep();
    }, "link");
  }

  showWatch() {
    this.shownMinute = this.minute;
    this.clock = put(this.box, "p", this.clockText(), { class: "look-clock", role: "timer" });
    this.lines.forEach((one, k) => this.showGroup(one, k));
    put(this.box, "h3", this.chaser === null ? "A chase: tap who chases" : `${this.lines[this.chaser].name} chases: tap whom`);
    const acts = put(this.box, "div", null, { class: "look-acts" });
    this.lines.forEach((one, k) => {
      const pressed = this.button(acts, one.name, () => this.chase(k));
      pressed.setAttribute("aria-pressed", String(this.chaser === k));
    });
    const count = this.watch.acts.length;
    put(this.box, "p", `${count} ${count === 1 ? "chase" : "chases"} noted.`, { role: "status" });
    if (count || this.chaser !== null) this.button(this.box, "Take the last tap back", () => this.takeBack());
    const noted = put(put(this.box, "label", null, { class: "tick" }), "input", null, { type: "checkbox" });
    noted.parentElement.append(" I note every chase I see");
    noted.checked = this.watch.chases;
    noted.addEventListener("change", () => {
      this.watch.chases = noted.checked;
      this.keep();
    });
    this.button(this.box, "End the watch", () => this.end(), "main");
  }

  showGroup({ name, fish }, k) {
    const group = put(this.box, "div", null, { class: "look-group", role: "group", "aria-label": `${name}: how many are out` });
    put(group, "span", fish > 1 ? `${name} (${fish})` : name, { class: "look-name" });
    const now = this.watch.looks.find((one) => one.minute === this.minute && one.k === k)?.out;
    const words = fish === 1 ? ["Hidden", "Out"] : Array.from({ length: fish + 1 }, (_, out) => String(out));
    const row = put(group, "div", null, { class: "look-counts" });
    words.forEach((word, out) => {
      const pressed = this.button(row, word, () => this.look(k, out));
      pressed.dataset.name = `${k} ${out}`;
      pressed.setAttribute("aria-pressed", String(now === out));
      if (fish > 1) pressed.setAttribute("aria-label", `${out} of ${fish} out`);
    });
  }

  button(parent, text, pressed, kind = null) {
    const made = put(parent, "button", text, { type: "button", onclick: pressed, class: kind });
    made.dataset.name = text;
    return made;
  }

  /** The tally as a CSV file: "rockshy sheet FILE --read tally.csv" and "rockshy fit" take it. */
  text() {
    const rows = [COLUMNS.join(","), line({ row: "tank", note: this.tank })];
    this.state.watches.forEach((watch, number) => {
      const at = { watch: number + 1 };
      const long = Math.max(1, Math.min(120, Math.round(((watch.ended ?? Date.now()) - watch.began) / 60000)));
      const noted = !watch.chases ? "places" : watch.looks.length ? "places and acts" : "acts";
      rows.push(line({ ...at, row: "session", date: watch.date, start: watch.start, minutes: long, noted }));
      for (const { minute, k, out } of watch.looks.filter((one) => one.minute <= long)) {
        const { name, fish } = this.lines[k];
        const seen = fish === 1 ? { place: out ? "out" : "not seen" } : { place: "out", count: out };
        rows.push(line({ ...at, row: "place", fish: name, minute, ...seen }));
      }
      for (const { minute, chaser, chased } of watch.chases ? watch.acts.filter((one) => one.minute <= long) : []) {
        const names = { chaser: this.lines[chaser].name, chased: this.lines[chased].name };
        rows.push(line({ ...at, row: "act", ...names, act: "chase", count: 1, minute }));
      }
    });
    return `${rows.join("\n")}\n`;
  }
}
