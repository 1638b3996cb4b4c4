// What stands round the tanks: the list of fish, the ribbon of the one that is followed, the list of events.

const byId = (id) => document.getElementById(id);

function put(parent, kind, text, more) {
  const made = document.createElement(kind);
  if (text !== undefined) made.textContent = text;
  Object.assign(made, more);
  parent.append(made);
  return made;
}

// as the keeper typed it, and the scientific name beside it
const inFull = (species) => species.called === species.name ? species.name : `${species.called} (${species.name})`;

function tell(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

// what stands for a species: a male of it, a female where she wears something else, and its letter as on their tags
function putEmblem(film, k, parent) {
  const species = film.species[k], [female, male] = species.wear.map((wear) => JSON.stringify(wear));
  for (const sex of female === male ? [1] : [1, 0]) {
    const canvas = put(parent, "canvas", undefined, { className: "swatch", ariaHidden: "true" });
    const ratio = Math.max(1, window.devicePixelRatio || 1), picture = new Sprites(film, k, sex, 0.36, 54 * ratio);
    Object.assign(canvas, { width: picture.width, height: picture.height });
    canvas.style.width = `${picture.width / ratio}px`;
    canvas.getContext("2d").drawImage(picture.pictures.calm[0], 0, 0);
  }
  const tag = put(parent, "b", species.letter, { className: "letter" });
  tag.style.background = species.wear[1].colours.body;
  tag.style.color = species.wear[1].ink;
}

class FishList {
  constructor(film, views, onPick) {
    this.views = views;
    this.rows = [];
    const place = byId("fish");
    film.species.forEach((species, k) => {
      const group = put(place, "section");
      const head = put(group, "h3");
      putEmblem(film, k, head);
      put(head, "bdi", inFull(species), { title: species.name });
      const list = put(group, "ul");
      const labels = new Map();
      views.forEach((view) => view.fish.forEach((fish) => {
        if (fish.species === k && !labels.has(fish.label)) labels.set(fish.label, fish);
      }));
      for (const [label, fish] of labels) {
        const button = put(put(list, "li"), "button", undefined, { type: "button", title: label });
        put(put(button, "b"), "bdi", fish.code);
        put(button, "span", cmText(fish.length), { className: "long" });
        const told = views.map(() => put(button, "span", "", { className: "does" }));
        button.addEventListener("click", () => onPick(label));
        this.rows.push({ label, button, told, which: views.map((view) => view.indexOf(label)) });
      }
    });
  }

  update(now, follow) {
    const counts = this.views.map((view) => {
      const found = new Map();
      for (const row of view.chasesUntil(now)) found.set(row[3], (found.get(row[3]) || 0) + 1);
      return found;
    });
    for (const row of this.rows) {
      row.button.ariaPressed = String(row.label === follow);
      row.which.forEach((i, k) => {
        const view = this.views[k], chased = counts[k].get(i) || 0;
        const what = i < 0 ? "not in this tank" : doingText(view.told, view.fish[i]);
        tell(row.told[k], i < 0 ? what : `chased ${chased}\u00d7; ${what}`);
      });
    }
  }
}

// what the followed fish did over the whole film: hiding dark, fleeing bright, chases received as strokes
class Ribbon {
  constructor(canvas, views) {
    Object.assign(this, { canvas, views });
  }

  resize(room, rowPx, ratio) {
    const width = Math.max(60, Math.floor(room)), height = rowPx * this.views.length;
    Object.assign(this, { width, height, rowPx, ratio });
    Object.assign(this.canvas, { width: width * ratio, height: height * ratio });
    this.canvas.style.height = `${height}px`;
  }

  paint(label) {
    const ink = this.canvas.getContext("2d");
    ink.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    ink.clearRect(0, 0, this.width, this.height);
    this.views.forEach((view, k) => this.row(ink, view, view.indexOf(label), k * this.rowPx));
  }

  row(ink, view, i, top) {
    const all = view.film.seconds, tick = view.film.tick, high = this.rowPx - 3;
    const x = (seconds) => (seconds / all) * this.width;
    ink.fillStyle = "#8fb9bd";
    ink.fillRect(0, top, this.width, high);
    ink.fillStyle = "rgba(28, 37, 38, 0.35)";
    for (const row of view.chases) ink.fillRect(x(row[0] * tick), top + 0.86 * high, 1, 0.14 * high);
    if (i < 0) return;
    ink.fillStyle = "#1a2426";
    for (const [from, to] of view.hidings(i)) ink.fillRect(x(from), top, Math.max(0.5, x(to - from)), 0.86 * high);
    for (const row of view.chases.filter((one) => one[3] === i)) {
      for (const [colour, edge] of [[CASING, 0], [CHASE, 1]]) {
        ink.fillStyle = colour;
        ink.fillRect(x(row[0] * tick) - 2.5 + edge, top + edge, 5 - 2 * edge, 0.86 * high - 2 * edge);
      }
    }
  }
}

// every event as text, made when it is opened
class EventList {
  constructor(film, views) {
    Object.assign(this, { film, views, label: null, isMade: false });
    this.box = byId("events");
    this.only = byId("only-followed");
    this.box.addEventListener("toggle", () => this.make());
    this.only.addEventListener("change", () => this.make());
  }

  follow(label) {
    this.label = label;
    if (this.only.checked) this.make();
  }

  make() {
    if (!this.box.open) return;
    const place = byId("event-lists");
    place.replaceChildren();
    for (const view of this.views) {
      const list = put(place, "div");
      put(put(list, "h3"), "bdi", view.told.name);
      const rows = put(list, "ol");
      const mine = view.indexOf(this.label);
      for (const row of view.told.log) {
        if (this.only.checked && row[2] !== mine && row[3] !== mine) continue;
        const item = put(rows, "li");
        put(item, "time", `${clockText(this.film, row[0] * this.film.tick)} `);
        put(item, "bdi", eventText(this.film, view.told, row));
      }
      if (!rows.childElementCount) put(rows, "li", "Nothing of that kind happened.");
    }
  }
}
