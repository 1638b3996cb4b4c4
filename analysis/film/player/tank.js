// One tank: where everybody is at a time, and the picture of it. Only what changed is painted again.

const GHOST = 0.78; // of the rock before a fish hides it; the rest shines through
const CHASE = "#ffd33d", CASING = "#1c2526", PAPER = "#f6f8f3";
const AFTER_S = 1.3; // seconds on the screen that the trace of a chase stays
const AFRAID = 4; // steps of fright from which on a fish is drawn pale, its fins clamped

class TankView {
  constructor(film, told, canvas) {
    Object.assign(this, { film, told, canvas });
    this.ways = told.ways.map(wayOf);
    this.doings = told.doings.map(doingsOf);
    this.sight = new Sight(told);
    this.mouths = told.mouths.map((place) => place.map((value, axis) => value / 10 / told.cell[axis]));
    this.perUnit = film.tick / told.units;
    this.chases = told.log.filter((row) => row[1] === 0);
    this.bites = told.log.filter((row) => row[1] === 1);
    const made = (fish, i) => ({ ...fish, i, side: asideOf(i), at: [0, 0, 0], turn: i % 2 ? 1 : -1, pitch: 0, beat: i * 0.7 });
    this.fish = told.fish.map(made);
    this.ink = canvas.getContext("2d", { alpha: false });
    this.dirty = [];
  }

  resize(width, height, ratio, textPx) {
    this.ratio = ratio;
    this.textPx = textPx;
    this.frame = new Frame(this.told, width, height);
    for (const side of ["width", "height"]) {
      this.canvas[side] = Math.max(1, Math.floor(this.frame[side] * ratio));
      this.canvas.style[side] = `${this.frame[side]}px`;
    }
    this.still = paintStill(this.told, this.frame, this.film.slabs, ratio);
    this.sprites = this.film.species.map((_, k) => [0, 1].map((male) => {
      const mine = this.fish.filter((fish) => fish.species === k && fish.male === male);
      if (!mine.length) return null;
      const longest = Math.max(...mine.map((fish) => fish.length));
      const deep = mine.reduce((sum, fish) => sum + fish.depth / fish.length, 0) / mine.length;
      return new Sprites(this.film, k, male, deep, 1.02 * longest * this.frame.scale * ratio);
    }));
    this.all = true;
  }

  isIn(fish, now) {
    const tick = now / this.film.tick;
    for (let k = 0; k < fish.stays.length; k += 2) if (tick >= fish.stays[k] && tick < fish.stays[k + 1]) return true;
    return tick >= this.film.seconds / this.film.tick && fish.stays[fish.stays.length - 1] >= tick;
  }

  cm(i, now, out) {
    const k = placeAt(this.ways[i], now / this.perUnit, this.fish[i].side, this.mouths, this.perUnit, out);
    for (let axis = 0; axis < 3; axis++) out[axis] *= this.told.cell[axis];
    return k;
  }

  // what everybody does at a time, in seconds since the film began
  look(now, step) {
    const ahead = [0, 0, 0], tick = Math.floor(now / this.film.tick);
    for (const fish of this.fish) {
      fish.here = this.isIn(fish, now) && this.ways[fish.i].time.length > 0;
      if (!fish.here) continue;
      const k = this.cm(fish.i, now, fish.at), way = this.ways[fish.i];
      fish.hole = way.hole[k];
      fish.cell = [way.cell[3 * k], way.cell[3 * k + 1], way.cell[3 * k + 2]];
      const d = this.doings[fish.i], entry = Math.max(0, lastBefore(d.tick, tick));
      for (const name of ["doing", "fright", "partner"]) fish[name] = d[name][entry];
      this.cm(fish.i, now + Math.max(0.4, step), ahead);
      this.face(fish, ahead);
    }
  }

  face(fish, ahead) {
    const dx = ahead[0] - fish.at[0], dy = ahead[1] - fish.at[1], dz = ahead[2] - fish.at[2];
    const far = Math.hypot(dx, dy, dz);
    fish.speed = far;
    let turn = fish.turn, pitch = 0;
    const other = this.fish[fish.partner];
    if (fish.doing === CONTESTING && other?.here) {
      turn = other.at[0] > fish.at[0] || (other.at[0] === fish.at[0] && other.i > fish.i) ? 0.92 : -0.92;
    } else if (far > 0.5) {
      const flat = Math.hypot(dx, dy) || 1;
      turn = Math.abs(dx) > 0.12 * flat ? dx / flat : Math.sign(fish.turn) * 0.12;
      pitch = Math.max(-0.6, Math.min(0.6, Math.atan2(dz, flat)));
    }
    fish.turn += (turn - fish.turn) * 0.25;
    fish.pitch += (pitch - fish.pitch) * 0.2;
  }

  // paint a time; show: {follow, territories, sight, names, speed, isPlaying}
  paint(now, show) {
    const ink = this.ink, follow = this.fish[show.follow];
    this.look(now, show.isPlaying ? 0.03 * show.speed : 0);
    ink.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    this.restore();
    if (show.territories) this.territories(now);
    const order = this.fish.filter((fish) => fish.here).sort((a, b) => b.at[1] - a.at[1]);
    for (const fish of order) this.trail(fish, now);
    for (const fish of order) this.one(fish, now, show);
    this.strokes(now, show, order);
    if (show.sight && follow && follow.here) this.lines(follow, order, now);
    this.tags(order, show, follow);
    this.strip(order, follow);
  }

  // ---- painting again only where something was

  touch(x0, y0, x1, y1) {
    this.dirty.push([Math.floor(x0) - 2, Math.floor(y0) - 2, Math.ceil(x1) + 2, Math.ceil(y1) + 2]);
  }

  touchRound(x, y, wide, high = wide) {
    this.touch(x - wide, y - high, x + wide, y + high);
  }

  touchAll(points, room) {
    const [across, down] = [0, 1].map((axis) => points.map((place) => place[axis]));
    this.touch(Math.min(...across) - room, Math.min(...down) - room, Math.max(...across) + room, Math.max(...down) + room);
  }

  restore() {
    const { width, height } = this.frame, ink = this.ink;
    const area = this.dirty.reduce((sum, [a, b, c, d]) => sum + (c - a) * (d - b), 0);
    if (this.all || area > 0.8 * width * height) ink.drawImage(this.still.whole, 0, 0, width, height);
    else for (const box of this.dirty) this.patch(this.still.whole, ...box);
    this.dirty.length = 0;
    this.all = false;
  }

  patch(from, x0, y0, x1, y1) {
    const a = Math.max(0, x0), b = Math.max(0, y0), r = this.ratio;
    const c = Math.min(this.frame.width, x1), d = Math.min(this.frame.height, y1);
    if (c <= a || d <= b) return;
    this.ink.drawImage(from, a * r, b * r, (c - a) * r, (d - b) * r, a, b, c - a, d - b);
  }

  // ---- fish

  posture(fish) {
    if (fish.doing === CONTESTING || fish.doing === CHASING) return "spread";
    return fish.fright >= AFRAID || fish.doing === FLEEING || fish.doing === SHELTERED ? "clamped" : "calm";
  }

  one(fish, now, show) {
    const frame = this.frame, [x, y, z] = fish.at, size = frame.share(y) * frame.scale;
    const picture = this.sprites[fish.species][fish.male], long = fish.length * size, tall = fish.depth * size;
    const isCrevice = fish.hole >= 0 && !this.told.corner[fish.hole];
    const side = Math.max(0.3, Math.abs(fish.turn));
    const half = isCrevice ? 0 : 0.5 * long * side;
    const right = frame.width - frame.left - half, low = 0.5 * tall;
    let px = frame.x(x, y), py = frame.z(z, y);
    if (!isCrevice) {
      px = Math.max(frame.left + half, Math.min(right, px));
      py = Math.max(frame.z(this.told.size[3], y) + low, Math.min(frame.z(0, y) - low * 0.9, py));
    }
    if (fish.doing === CONTESTING) px += Math.sin(now * 2.2 + fish.i) * 0.6 * size;
    Object.assign(fish, { px, py, size });
    if (isCrevice) return this.peeking(fish, picture, size);
    const beats = fish.speed > 0.5 ? 9 : 2.5;
    const beat = [0, 1, 2, 1][Math.floor(now * beats * 0.5 + fish.beat * 3) & 3];
    const image = picture.pictures[this.posture(fish)][beat];
    const share = long / picture.long, ink = this.ink, r = this.ratio;
    const tilt = fish.hole >= 0 ? 0.35 : -fish.pitch;
    ink.globalAlpha = 1 - 0.3 * (y / frame.depth);
    ink.setTransform(r, 0, 0, r, r * px, r * py);
    if (fish.turn < 0) ink.scale(-1, 1);
    ink.rotate(tilt);
    ink.drawImage(image, (-side * share * picture.width) / 2, (-share * picture.height) / 2, side * share * picture.width, share * picture.height);
    ink.setTransform(r, 0, 0, r, 0, 0);
    ink.globalAlpha = 1;
    const a = 0.5 * share * picture.width * side, b = 0.5 * share * picture.height; // of the picture before its tilt
    const s = Math.abs(Math.sin(tilt)), c = Math.cos(tilt), reach = c * a + s * b + 1, up = s * a + c * b + 1;
    this.touchRound(px, py, reach, up);
    this.cover([px - reach, py - up, px + reach, py + up], y);
  }

  // rock that stands nearer goes over it
  cover(box, y) {
    const slab = Math.max(0, Math.min(this.film.slabs - 1, Math.floor((y / this.frame.depth) * this.film.slabs)));
    if (!slab) return;
    this.ink.globalAlpha = GHOST;
    this.patch(this.still.before[slab], ...box.map((value, k) => (k < 2 ? Math.floor(value) : Math.ceil(value))));
    this.ink.globalAlpha = 1;
  }

  peeking(fish, picture, size) {
    const ink = this.ink, mouth = Math.max(2.4, this.told.mouth[fish.hole] || 3);
    const wide = (0.55 * mouth + 1.2) * size, high = (0.48 * mouth + 0.8) * size;
    const share = Math.min((fish.length * size) / picture.long, (2.1 * high) / picture.tall);
    const left = fish.turn < 0 ? -1 : 1, r = this.ratio;
    ink.save();
    oval(ink, fish.px, fish.py, wide, high);
    fillWith(ink, "#0b0e0f");
    ink.clip();
    ink.setTransform(r * left, 0, 0, r, r * fish.px, r * fish.py);
    const shift = -0.36 * share * picture.long;
    ink.drawImage(picture.pictures.clamped[0], shift - (share * picture.width) / 2, (-share * picture.height) / 2, share * picture.width, share * picture.height);
    ink.restore();
    oval(ink, fish.px, fish.py, wide, high);
    ink.setLineDash([0.7 * size, 0.45 * size]);
    strokeWith(ink, PAPER, Math.max(1, 0.16 * size));
    ink.setLineDash([]);
    this.touchRound(fish.px, fish.py, wide + 2, high + 2);
  }

  chasesUntil(now) {
    return this.chases.filter((row) => row[0] * this.film.tick <= now);
  }

  // from when to when a fish hides, in seconds
  hidings(i) {
    const { tick, doing } = this.doings[i], length = this.film.tick, found = [];
    tick.forEach((when, k) => {
      const end = k + 1 < tick.length ? tick[k + 1] * length : this.film.seconds;
      if (doing[k] === SHELTERED) found.push([when * length, end]);
    });
    return found;
  }

  // number of a fish by its label; -1: it is not in this tank
  indexOf(label) {
    return this.fish.findIndex((fish) => fish.label === label);
  }

  nearest(px, py) {
    let best = -1, least = 60;
    for (const fish of this.fish) {
      if (!fish.here || fish.px === undefined) continue;
      const far = Math.hypot(fish.px - px, fish.py - py) - 0.3 * fish.length * fish.size;
      if (far < least) [best, least] = [fish.i, far];
    }
    return best;
  }
}
