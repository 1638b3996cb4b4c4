// The clock of the film and everything that a hand can do to it.

const SPEEDS = [1, 2, 5, 10, 20, 40, 60];
const SHOWN = ["territories", "sight", "names"]; // boxes that are ticked
const SLOW = 2, NEAR_S = 1.5, BEFORE_S = 4, SAY_EVERY_MS = 4000;

class Player {
  constructor(film) {
    Object.assign(this, { film, now: 0, speed: film.speed, isPlaying: false, frames: 0 });
    Object.assign(this, { saidAt: -SAY_EVERY_MS, saidRow: null });
    this.views = film.tanks.map((told, k) => this.figure(told, k));
    this.label = this.views[0].fish[Math.max(0, film.follow)]?.label ?? "";
    this.list = new FishList(film, this.views, (label) => this.follow(label));
    this.ribbon = new Ribbon(byId("ribbon"), this.views);
    this.events = new EventList(film, this.views);
    this.write();
    this.listen();
    this.layout();
    this.follow(this.label);
    this.setSpeed(this.speed);
  }

  figure(told, k) {
    const figure = put(byId("tanks"), "figure");
    const head = put(figure, "figcaption");
    put(head, "bdi", told.name, { title: told.name });
    const day = this.film.tanks.some((one) => one.day !== told.day) ? `day ${told.day}, ` : "";
    put(head, "span", `${day}simulated tank ${this.film.trial + 1} of ${this.film.of}`);
    const canvas = put(figure, "canvas", undefined, { tabIndex: 0, role: "img" });
    const view = new TankView(this.film, told, canvas);
    canvas.addEventListener("click", (event) => {
      const found = view.nearest(event.offsetX, event.offsetY);
      if (found >= 0) this.follow(view.fish[found].label);
    });
    view.caption = put(figure, "p", "", { className: "now", dir: "auto" });
    view.tally = put(figure, "p", "", { className: "tally" });
    Object.assign(view, { number: k, figure });
    return view;
  }

  // texts that stay
  write() {
    const film = this.film;
    tell(byId("title"), film.title);
    byId("title").title = film.title;
    tell(byId("question"), film.question);
    tell(byId("count"), `Day ${film.tanks[0].day}, simulated tank ${film.trial + 1} of ${film.of}. Fish of a model.`);
    for (const text of film.why) put(byId("why"), "p", text, { dir: "auto" });
    for (const text of film.answer ?? []) put(byId("answer-lines"), "p", text, { dir: "auto" });
    byId("answer").hidden = !film.answer?.length;
    byId("file").hidden = !film.file;
    if (film.file) {
      tell(byId("file-name"), `The tank as a file: ${film.file.name}`);
      tell(byId("file-text"), film.file.text);
    }
    film.species.forEach((species, k) => {
      const item = put(byId("key"), "li");
      putEmblem(film, k, item);
      put(item, "bdi", `${inFull(species)} (${species.said})`, { title: species.name, className: "full" });
      put(item, "bdi", species.short, { title: species.name, className: "brief" });
    });
    tell(byId("ribbon-key"), "The band: dark while the followed fish hides; a tall yellow stroke for each chase that it "
      + "gets, a small one below for every chase in the tank. \u2642 male, \u2640 female.");
    byId("scrub").max = String(Math.floor(film.seconds));
  }

  listen() {
    const presses = {
      play: () => this.play(!this.isPlaying), back: () => this.step(-1), on: () => this.step(1),
      "next-chase": () => this.toChase(1), slower: () => this.faster(-1), faster: () => this.faster(1),
      fill: () => this.fill(!this.isFilled),
    };
    for (const [id, what] of Object.entries(presses)) byId(id).addEventListener("click", what);
    byId("scrub").addEventListener("input", (event) => this.seek(Number(event.target.value)));
    for (const id of SHOWN) byId(id).addEventListener("change", () => this.show());
    document.addEventListener("keydown", (event) => this.key(event));
    document.addEventListener("fullscreenchange", () => {
      if (!document.fullscreenElement) this.fill(false);
    });
    let waiting = 0;
    window.addEventListener("resize", () => {
      window.clearTimeout(waiting);
      waiting = window.setTimeout(() => this.layout(), 120);
    });
  }

  // ---- size

  layout() {
    const filled = this.isFilled, place = byId("tanks");
    const ratio = Math.min(2, window.devicePixelRatio || 1);
    const width = place.clientWidth - 2, text = parseFloat(getComputedStyle(document.body).fontSize);
    this.ribbon.resize(byId("time").clientWidth, Math.round((filled ? 0.7 : 1.1) * text), ratio);
    const room = Math.max(120, window.innerHeight - (filled ? this.othersHeight() : 0.3 * window.innerHeight));
    const line = 1.3 * text, least = (this.views.length > 1 ? 2 : 1) * line;
    const plain = this.arrangement(width, room, 1.6 * text + least), roomy = this.arrangement(width, room, 1.6 * text + least + 2 * line);
    const isTallied = filled && roomy.scale > 0.94 * plain.scale, best = (isTallied ? roomy : plain).size;
    document.body.classList.toggle("tallied", isTallied);
    const tagPx = filled ? Math.ceil(window.innerHeight / 30) : Math.max(11, Math.min(0.85 * text + 1, width / 36));
    this.views.forEach((view) => {
      view.resize(best[0], best[1], ratio, tagPx);
      view.figure.style.width = `${view.frame.width}px`;
    });
    this.ribbon.paint(this.label);
    this.show();
  }

  // beside one another or one above the other, whichever shows them larger; words: height of those of each tank
  arrangement(width, height, words) {
    const count = this.views.length, [told] = this.film.tanks;
    const sizes = [[width / count - 5 * (count - 1), height - words], [width, height / count - words]];
    const scales = sizes.map((size) => new Frame(told, ...size).scale), best = scales[0] >= scales[1] ? 0 : 1;
    return { size: sizes[best], scale: scales[best] };
  }

  othersHeight() {
    const tall = (id) => byId(id).getBoundingClientRect().height;
    return tall("top") + tall("time") + tall("key") + 1.6 * parseFloat(getComputedStyle(document.body).fontSize);
  }

  get isFilled() {
    return document.body.classList.contains("filled");
  }

  fill(isFilled) {
    document.body.classList.toggle("filled", isFilled);
    byId("fill").ariaPressed = String(isFilled);
    const root = document.documentElement;
    if (isFilled && root.requestFullscreen) root.requestFullscreen().catch(() => {});
    if (!isFilled && document.fullscreenElement) document.exitFullscreen().catch(() => {});
    this.layout();
  }

  // ---- time

  play(isPlaying) {
    if (isPlaying && this.now >= this.film.seconds) this.now = 0;
    this.isPlaying = isPlaying;
    tell(byId("play"), isPlaying ? "Pause" : "Play");
    this.last = undefined;
    if (isPlaying) window.requestAnimationFrame((ms) => this.frame(ms));
    this.show();
  }

  frame(ms) {
    if (!this.isPlaying) return;
    this.tick(this.last === undefined ? 16 : Math.min(100, ms - this.last));
    this.last = ms;
    window.requestAnimationFrame((next) => this.frame(next));
  }

  // one frame: ms of the world outside
  tick(ms) {
    this.now = Math.min(this.film.seconds, this.now + (ms / 1000) * this.speedNow());
    this.frames += 1;
    this.paint();
    if (this.frames % 12 === 0) this.tellAll();
    if (this.now >= this.film.seconds) this.play(false);
  }

  speedNow() {
    return byId("slow").checked && this.isChased() ? Math.min(SLOW, this.speed) : this.speed;
  }

  isChased() {
    return this.views.some((view) => {
      const i = this.indexIn(view);
      if (i < 0) return false;
      const near = view.chases.some((row) => row[3] === i && Math.abs(row[0] * this.film.tick - this.now) < NEAR_S);
      return near || (view.fish[i].here && view.fish[i].doing === FLEEING && view.fish[i].partner >= 0);
    });
  }

  seek(seconds) {
    this.now = Math.max(0, Math.min(this.film.seconds, seconds));
    for (let k = 0; k < 8; k++) this.views.forEach((view) => view.look(this.now, 0)); // they face where they swim
    this.show();
  }

  step(seconds) {
    this.play(false);
    this.seek(this.now + seconds);
  }

  toChase(way) {
    const view = this.views[0], i = this.indexIn(view), tick = this.film.tick;
    const when = view.chases.filter((row) => row[3] === i).map((row) => row[0] * tick);
    const found = way > 0 ? when.find((at) => at > this.now + BEFORE_S + 0.5) : when.filter((at) => at < this.now - 0.5).pop();
    if (found === undefined) this.say("It is not chased again in this film.");
    else this.seek(found - BEFORE_S);
  }

  faster(way) {
    const at = SPEEDS.findIndex((speed) => speed >= this.speed);
    const next = way > 0 && SPEEDS[at] > this.speed ? at : at + way;
    this.setSpeed(SPEEDS[Math.max(0, Math.min(SPEEDS.length - 1, at < 0 ? SPEEDS.length - 1 : next))]);
  }

  setSpeed(speed) {
    this.speed = speed;
    tell(byId("speed"), speed === 1 ? "at real speed" : `${speed} times as fast`);
  }

  // ---- whom

  indexIn(view) {
    return view.indexOf(this.label);
  }

  follow(label) {
    this.label = label;
    this.events.follow(label);
    this.ribbon.paint(label);
    this.show();
  }

  followNext(way) {
    const rows = this.list.rows, at = rows.findIndex((row) => row.label === this.label);
    this.follow(rows[(at + way + rows.length) % rows.length].label);
    this.say(`Following ${this.label}`);
  }

  // ---- showing

  paint() {
    const show = { speed: this.speedNow(), isPlaying: this.isPlaying };
    for (const id of SHOWN) show[id] = byId(id).checked;
    for (const view of this.views) view.paint(this.now, { ...show, follow: this.indexIn(view) });
    tell(byId("clock"), clockText(this.film, this.now));
    const scrub = byId("scrub"), value = String(Math.floor(this.now));
    if (scrub.value !== value) scrub.value = value;
  }

  show() {
    for (const view of this.views) view.all = true;
    this.paint();
    this.tellAll();
  }

  tellAll() {
    this.list.update(this.now, this.label);
    const isOne = this.views.length === 1;
    const told = this.views.map((view) => {
      const i = this.indexIn(view), text = i < 0 ? "" : factsText(view, i, this.now);
      return isOne ? text : `${view.told.name}: ${text || "not in it."}`;
    });
    tell(byId("facts"), told.join(" \u2014 "));
    byId("scrub").ariaValueText = clockText(this.film, this.now);
    this.caption();
    for (const view of this.views) this.describe(view);
  }

  // under each tank: what the followed fish does, and what last happened to it
  caption() {
    for (const view of this.views) {
      const i = this.indexIn(view), tick = this.film.tick;
      const row = view.told.log.filter((one) => (one[2] === i || one[3] === i) && [0, 1, 4].includes(one[1])
        && one[0] * tick <= this.now && one[0] * tick > this.now - 30).pop();
      const what = i >= 0 ? `${view.fish[i].code} is ${doingText(view.told, view.fish[i])}. ` : "The fish followed is not in this tank.";
      const sees = byId("sight").checked && view.inView && i >= 0
        ? `It sees ${view.inView.seen} fish, ${view.inView.chased || "none"} of which chased it so far. ` : "";
      const last = row ? `${clockText(this.film, row[0] * tick)} ${eventText(this.film, view.told, row, true)}.` : "";
      tell(view.caption, `${what}${last}${last ? " " : ""}${sees}`);
      tell(view.tally, i < 0 ? "" : tallyText(view, i, this.now));
      if (row && row !== this.saidRow && this.isPlaying) this.say(last, row);
    }
  }

  describe(view) {
    const here = view.fish.filter((fish) => fish.here), hidden = here.filter((fish) => fish.doing === SHELTERED).length;
    view.canvas.ariaLabel = `${view.told.name}: ${here.length} fish, ${hidden} of them hiding. Click a fish to follow it.`;
  }

  // for screen readers, and not more often than one can listen to
  say(text, row) {
    const ms = window.performance.now();
    if (row && ms - this.saidAt < SAY_EVERY_MS) return;
    this.saidAt = ms;
    this.saidRow = row || this.saidRow;
    tell(byId("said"), text);
  }

  // ---- keys

  key(event) {
    const inside = event.target.closest ? event.target.closest("button, summary, input[type=checkbox]") : null;
    if (event.ctrlKey || event.metaKey || event.altKey || (inside && [" ", "Enter"].includes(event.key))) return;
    const flip = (id) => {
      byId(id).checked = !byId(id).checked;
      this.show();
    };
    const far = event.shiftKey ? 10 : 1;
    const does = {
      " ": () => this.play(!this.isPlaying), ArrowLeft: () => this.step(-far), ArrowRight: () => this.step(far),
      Home: () => this.seek(0), End: () => this.seek(this.film.seconds), "+": () => this.faster(1), "=": () => this.faster(1),
      "-": () => this.faster(-1), j: () => this.followNext(1), k: () => this.followNext(-1),
      c: () => this.toChase(event.shiftKey ? -1 : 1), t: () => flip("territories"), s: () => flip("sight"), n: () => flip("names"),
      f: () => this.fill(!this.isFilled), Escape: () => this.fill(false),
    }[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!does) return;
    event.preventDefault();
    does();
  }

  // for tests and for whoever writes on top of it
  state() {
    return {
      now: this.now, speed: this.speed, isPlaying: this.isPlaying, follow: this.label, frames: this.frames,
      tanks: this.views.map((view) => view.fish.map((fish) => ({
        label: fish.label, here: fish.here, at: [...fish.at], doing: fish.doing, hole: fish.hole, x: fish.px, y: fish.py,
      }))),
    };
  }
}

const player = new Player(JSON.parse(byId("film-data").textContent));
window.film = player;
if (!window.matchMedia("(prefers-reduced-motion: reduce)").matches) player.play(true);
