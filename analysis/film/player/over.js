// What is painted over the fish: chases, bites, territories, lines of sight, tags, the view from above.

Object.assign(TankView.prototype, {
  line(points, width, colour, dash) {
    const ink = this.ink;
    ink.beginPath();
    ink.lineJoin = "round"; // a mitre would stick out of what is painted again
    for (const [x, y] of points) ink.lineTo(x, y);
    if (dash) ink.setLineDash(dash);
    strokeWith(ink, colour, width);
    if (dash) ink.setLineDash([]);
    this.touchAll(points, width);
  },

  seen(i, now) {
    const at = [0, 0, 0];
    this.cm(i, now, at);
    return [this.frame.x(at[0], at[1]), this.frame.z(at[2], at[1])];
  },

  // the water behind a fleeing fish
  trail(fish, now) {
    if (fish.doing !== FLEEING && fish.doing !== CHASING) return;
    const points = [];
    for (let back = 1.2; back >= 0; back -= 0.2) points.push(this.seen(fish.i, Math.max(0, now - back)));
    this.ink.globalAlpha = fish.doing === FLEEING ? 0.75 : 0.4;
    this.line(points, Math.max(1.5, 0.35 * this.frame.scale), PAPER, [0.9 * this.frame.scale, 0.7 * this.frame.scale]);
    this.ink.globalAlpha = 1;
  },

  // a stroke from each chaser to the fish it chases; after it the way that was fled, fading
  strokes(now, show, order) {
    for (const fish of order) {
      const other = this.fish[fish.partner];
      if (fish.doing === CHASING && other && other.here && other.px !== undefined) this.stroke(fish, other);
      if (fish.doing === CONTESTING) this.arcs(fish, now);
      if (fish.doing === BOXED) this.box(fish);
    }
    const span = AFTER_S * Math.max(1, show.speed);
    const marks = this.recent(this.chases, now, span).slice(-10);
    for (const [tick, , , target] of marks) this.fled(target, tick * this.film.tick, now, span);
    for (const [tick, , , target] of this.recent(this.bites, now, 0.8 * Math.max(1, show.speed))) this.burst(this.fish[target], tick);
  },

  recent(rows, now, span) {
    const low = (now - span) / this.film.tick, high = now / this.film.tick;
    return rows.filter((row) => row[0] > low && row[0] <= high);
  },

  stroke(from, to) {
    const ink = this.ink, wide = Math.max(2.5, 0.75 * this.frame.scale);
    const dx = to.px - from.px, dy = to.py - from.py, far = Math.hypot(dx, dy);
    if (far < 2 * wide) return;
    const [ux, uy] = [dx / far, dy / far];
    const head = Math.min(0.45 * far, 4.2 * wide), end = [to.px - ux * wide, to.py - uy * wide];
    const neck = [end[0] - ux * head, end[1] - uy * head];
    const tail = [from.px, from.py];
    const beside = ([x, y], far) => [x + uy * wide * far, y - ux * wide * far];
    const outline = [[tail, 0.3], [neck, 0.8], [neck, 1.9], [end, 0], [neck, -1.9], [neck, -0.8], [tail, -0.3]];
    fillShape(ink, outline.flatMap(([place, far]) => beside(place, far)));
    ink.lineJoin = "round";
    strokeWith(ink, CASING, Math.max(2, 0.35 * this.frame.scale));
    fillWith(ink, CHASE);
    this.touchAll([[from.px, from.py], [to.px, to.py]], 3 * wide);
  },

  fled(target, began, now, span) {
    const points = [], end = Math.min(now, began + 6);
    for (let at = began; at < end; at += 0.4) points.push(this.seen(target, at));
    points.push(this.seen(target, end));
    if (points.length < 2) return;
    this.ink.globalAlpha = Math.max(0, 0.9 * (1 - (now - began) / span));
    this.ink.lineJoin = this.ink.lineCap = "round";
    this.line(points, Math.max(3, 0.62 * this.frame.scale), CASING);
    this.line(points, Math.max(1.6, 0.34 * this.frame.scale), CHASE);
    this.ink.globalAlpha = 1;
    this.ink.lineCap = "butt";
  },

  burst(fish, tick) {
    if (!fish.here || fish.px === undefined) return;
    const near = 1.6 * fish.size, far = 3.6 * fish.size, turn = tick % 7;
    for (const [wide, colour] of [[Math.max(3, 0.9 * fish.size), CASING], [Math.max(1.6, 0.45 * fish.size), "#ff7a45"]]) {
      for (let k = 0; k < 8; k++) {
        const a = (k * Math.PI) / 4 + turn;
        this.line([near, far].map((out) => [fish.px + out * Math.cos(a), fish.py + out * Math.sin(a)]), wide, colour);
      }
    }
  },

  // the box that a fish sits in, at the front glass under the surface
  box(fish) {
    const [half, deep] = this.film.box, frame = this.frame, [x, y] = fish.at;
    const [left, right, top, low] = [frame.x(x - half, y), frame.x(x + half, y), frame.z(this.told.size[3], y), frame.z(this.told.size[3] - deep, y)];
    const outline = [[left, top], [left, low], [right, low], [right, top], [left, top]];
    this.line(outline, Math.max(3, 0.7 * frame.scale), CASING);
    this.line(outline, Math.max(1.5, 0.4 * frame.scale), PAPER);
  },

  // a fish that displays or fights: two bows beside it
  arcs(fish, now) {
    const ink = this.ink, reach = 0.62 * fish.length * fish.size, swell = 1 + 0.06 * Math.sin(now * 3 + fish.i);
    for (const up of [-0.5 * Math.PI, 0.5 * Math.PI]) {
      ink.beginPath();
      ink.ellipse(fish.px, fish.py, reach * swell, 0.62 * reach * swell, 0, up - 0.45, up + 0.45);
      strokeWith(ink, PAPER, Math.max(1.2, 0.22 * this.frame.scale));
    }
    this.touchRound(fish.px, fish.py, 1.1 * reach, 0.75 * reach);
  },

  // the ground of each territory: the blocks that its owner holds now, seen from the front, and its crevice
  territories(now) {
    this.tagged = [];
    const tick = now / this.film.tick, ink = this.ink, frame = this.frame;
    const held = latest(this.told.homes, tick), grounds = latest(this.told.grounds, tick), tags = [];
    for (const [i, refuge] of held) {
      const fish = this.fish[i];
      if (refuge < 0 || !fish.here) continue;
      const [x, y, z] = this.told.mouths[refuge].map((value) => value / 10);
      const px = frame.x(x, y), py = frame.z(z, y), wear = wearOf(this.film, fish), { body } = wear.colours;
      const top = frame.z(this.told.size[3], 0);
      ink.save();
      ink.beginPath();
      ink.rect(frame.left, top, frame.width - 2 * frame.left, frame.floor - top);
      ink.clip();
      const corner = (a, b) => [frame.x(a, y), frame.z(b, y)];
      const { tint, rim } = groundShapes(this.told.blocks, grounds.get(i), corner);
      ink.globalAlpha = 0.16;
      ink.fillStyle = body;
      ink.fill(tint);
      ink.globalAlpha = 1;
      ink.lineCap = "round";
      for (const [colour, wide] of [[wear.rim, 0.75], [body, 0.42]]) {
        ink.strokeStyle = colour;
        ink.lineWidth = Math.max(2, wide * frame.scale);
        ink.stroke(rim);
      }
      oval(ink, px, py, 1.2 * frame.scale);
      for (const [colour, wide] of [[wear.rim, 0.8], [body, 0.5]]) strokeWith(ink, colour, Math.max(2, wide * frame.scale));
      ink.restore();
      tags.push([`territory of ${fish.code}`, px, Math.max(py, top) + this.textPx, wear, 1]);
    }
    for (const tag of tags) this.tag(...tag);
    if (held.size) this.all = true;
    this.tagged = [];
  },

  lines(follow, order, now) {
    const before = new Set(this.chases.filter((row) => row[0] * this.film.tick <= now && row[3] === follow.i).map((row) => row[2]));
    this.inView = { seen: 0, chased: 0 };
    for (const fish of order) {
      if (fish === follow || !this.sight.sees(follow, fish)) continue;
      const has = before.has(fish.i);
      this.inView.seen += 1;
      this.inView.chased += has ? 1 : 0;
      const ends = [[follow.px, follow.py], [fish.px, fish.py]];
      this.line(ends, Math.max(has ? 3.5 : 2.5, (has ? 0.5 : 0.3) * this.frame.scale), CASING);
      this.line(ends, Math.max(has ? 2 : 1.2, (has ? 0.28 : 0.14) * this.frame.scale), has ? CHASE : PAPER, has ? null : [5, 5]);
    }
  },

  tags(order, show, follow) {
    const isAfter = (fish) => fish.doing === CHASING && this.fish[fish.partner] === follow;
    const named = order.filter((fish) => show.names || fish === follow || isAfter(fish));
    if (follow && follow.here) this.ring(follow);
    this.tagged = [];
    for (const fish of named.sort((a, b) => (b === follow) - (a === follow) || a.at[1] - b.at[1])) {
      const [deep, text, size] = fish === follow ? [0.75, 0.9, 1.2] : [0.6, 0.5, 1];
      const up = deep * fish.depth * fish.size + text * this.textPx;
      this.tag(fish.code, fish.px, fish.py - up, wearOf(this.film, fish), size);
    }
  },

  ring(fish) {
    const ink = this.ink, wide = 0.66 * fish.length * fish.size + 3, high = Math.max(0.8 * fish.depth * fish.size, 0.42 * wide);
    oval(ink, fish.px, fish.py, wide, high);
    for (const [colour, width] of [[CASING, 5], [PAPER, 2.6]]) strokeWith(ink, colour, width);
    this.touchRound(fish.px, fish.py, wide + 4, high + 4);
  },

  // where there is no room for a tag beside those that stand already, there is none
  tag(text, px, py, wear, size) {
    const ink = this.ink, high = size * this.textPx;
    ink.font = `700 ${high}px system-ui, sans-serif`;
    const wide = ink.measureText(text).width, room = 0.28 * high;
    const box = [px - wide / 2 - room, py - 0.65 * high, px + wide / 2 + room, py + 0.65 * high];
    if (this.tagged.some((it) => it[0] < box[2] && box[0] < it[2] && it[1] < box[3] && box[1] < it[3])) return;
    this.tagged.push(box);
    const x = Math.max(wide / 2 + room, Math.min(this.frame.width - wide / 2 - room, px)), y = Math.max(0.7 * high, py);
    ink.beginPath();
    ink.rect(x - wide / 2 - room, y - 0.62 * high, wide + 2 * room, 1.24 * high);
    fillWith(ink, wear.colours.body);
    strokeWith(ink, wear.rim, 2);
    ink.fillStyle = wear.ink;
    ink.textAlign = "center";
    ink.textBaseline = "middle";
    ink.fillText(text, x, y + 0.04 * high);
    this.touchRound(x, y, wide / 2 + room + 2, 0.7 * high + 2);
  },

  // from above: a mark a fish, its shape that of its species
  strip(order, follow) {
    const size = Math.max(3, Math.min(0.9 * this.frame.scale, 0.09 * this.frame.stripPx + 2));
    for (const fish of order) {
      const x = this.frame.stripX(fish.at[0]), y = this.frame.stripY(fish.at[1]), ink = this.ink;
      const wear = wearOf(this.film, fish), { marker } = this.film.species[fish.species];
      const [large, edge, width] = fish === follow ? [1.7, CASING, 3] : [1, wear.rim, 1.4];
      markShape(ink, marker, x, y, size * large);
      strokeWith(ink, edge, width);
      fillWith(ink, wear.colours.body);
      this.touchRound(x, y, 2 * size + 3);
    }
  },
});

// what last held for each fish at a tick; rows: tick, fish, value
function latest(rows, tick) {
  const found = new Map();
  for (const [when, i, value] of rows) {
    if (when > tick) break;
    found.set(i, value);
  }
  return found;
}

// blocks that are held, as one shape to tint and the lines where they end; corner: cm along and up to pixels
function groundShapes({ many: [across, up], sides: [wide, high] }, text, corner) {
  const bits = text ? bytesOf(text) : [], tint = new Path2D(), rim = new Path2D();
  const has = (a, b) => a >= 0 && b >= 0 && a < across && b < up && (bits[(a * up + b) >> 3] >> ((a * up + b) & 7)) & 1;
  const put = (path, ...ends) => ends.forEach(([a, b], k) => path[k ? "lineTo" : "moveTo"](...corner(a * wide, b * high)));
  for (let a = 0; a < across; a++) {
    for (let b = 0; b < up; b++) {
      if (!has(a, b)) continue;
      put(tint, [a, b], [a + 1, b], [a + 1, b + 1], [a, b + 1]);
      if (!has(a - 1, b)) put(rim, [a, b], [a, b + 1]);
      if (!has(a + 1, b)) put(rim, [a + 1, b], [a + 1, b + 1]);
      if (!has(a, b - 1)) put(rim, [a, b], [a + 1, b]);
      if (!has(a, b + 1)) put(rim, [a, b + 1], [a + 1, b + 1]);
    }
  }
  return { tint, rim };
}

// circle, triangle, square, lozenge, triangle on its tip, cross, saltire: as in the still pictures
function markShape(ink, marker, x, y, size) {
  const around = {
    1: [0, -1.15, 1.05, 0.8, -1.05, 0.8], 2: [-0.85, -0.85, 0.85, -0.85, 0.85, 0.85, -0.85, 0.85],
    3: [0, -1.2, 1.2, 0, 0, 1.2, -1.2, 0], 4: [0, 1.15, 1.05, -0.8, -1.05, -0.8],
    5: [-0.4, -1.1, 0.4, -1.1, 0.4, -0.4, 1.1, -0.4, 1.1, 0.4, 0.4, 0.4, 0.4, 1.1, -0.4, 1.1, -0.4, 0.4, -1.1, 0.4, -1.1, -0.4, -0.4, -0.4],
    6: [-1.1, -0.6, -0.6, -1.1, 0, -0.5, 0.6, -1.1, 1.1, -0.6, 0.5, 0, 1.1, 0.6, 0.6, 1.1, 0, 0.5, -0.6, 1.1, -1.1, 0.6, -0.5, 0],
  }[marker];
  if (around) fillShape(ink, around.map((value, k) => (k % 2 ? y : x) + value * size));
  else oval(ink, x, y, 0.95 * size);
}
