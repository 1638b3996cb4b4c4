// The tank and its fish as pictures: what never changes is painted once, a fish once for each posture.

const ROOM_CM = 0.8; // of glass round the water
const STRIP = 0.26; // height of the view from above, for each cm from front to back
const GLASS = "#22343a";

// from cm to pixels of one tank; z is up from the base, y back from the front glass
class Frame {
  constructor(told, width, height) {
    const [length, depth, tall] = told.size;
    this.view = told.view;
    this.stripCm = Math.max(9, STRIP * depth) + 3;
    const wide = length + 2 * ROOM_CM, high = tall + 2 * ROOM_CM + this.stripCm;
    this.scale = Math.max(0.5, Math.min(width / wide, height / high));
    this.width = Math.floor(wide * this.scale);
    this.height = Math.floor(high * this.scale);
    this.left = ROOM_CM * this.scale;
    this.floor = (tall + ROOM_CM) * this.scale;
    this.stripTop = (tall + 2 * ROOM_CM + 1.5) * this.scale;
    this.stripPx = (this.stripCm - 2.2) * this.scale;
    this.depth = depth;
  }

  share(y) {
    return this.view[2] / (this.view[2] + y);
  }

  x(x, y) {
    return this.left + (this.view[0] + (x - this.view[0]) * this.share(y)) * this.scale;
  }

  z(z, y) {
    return this.floor - (this.view[1] + (z - this.view[1]) * this.share(y)) * this.scale;
  }

  stripX(x) {
    return this.left + x * this.scale;
  }

  stripY(y) {
    return this.stripTop + (1 - y / this.depth) * this.stripPx;
  }
}

function canvasOf(width, height) {
  const sides = { width: Math.max(1, Math.ceil(width)), height: Math.max(1, Math.ceil(height)) };
  return Object.assign(document.createElement("canvas"), sides);
}

function fillShape(ink, points) {
  ink.beginPath();
  for (let k = 0; k < points.length; k += 2) ink.lineTo(points[k], points[k + 1]);
  ink.closePath();
}

function oval(ink, x, y, wide, high = wide) {
  ink.beginPath();
  ink.ellipse(x, y, wide, high, 0, 0, 7);
}

function fillWith(ink, colour) {
  ink.fillStyle = colour;
  ink.fill();
}

function strokeWith(ink, colour, width) {
  ink.strokeStyle = colour;
  ink.lineWidth = width;
  ink.stroke();
}

function paintBackdrop(ink, told, frame) {
  ink.fillStyle = GLASS;
  ink.fillRect(0, 0, frame.width, frame.height);
  for (const [colour, flat] of told.backdrop) {
    const points = [];
    for (let k = 0; k < flat.length; k += 3) {
      points.push(frame.x(flat[k] / 10, flat[k + 1] / 10), frame.z(flat[k + 2] / 10, flat[k + 1] / 10));
    }
    fillShape(ink, points);
    fillWith(ink, colour);
    strokeWith(ink, colour, 0.8); // closes the seams between neighbours
  }
}

// a stone is its outline in the colour of its rim, a smaller one in its own and a lit side; a mouth is dark
function paintSolid(ink, solid, frame) {
  const [depth, rim, body, lit, flat] = solid, y = depth / 10;
  const points = [];
  let x = 0, z = 0;
  for (let k = 0; k < flat.length; k += 2) {
    points.push(frame.x(flat[k] / 10, y), frame.z(flat[k + 1] / 10, y));
    x += points[k];
    z += points[k + 1];
  }
  x /= points.length / 2;
  z /= points.length / 2;
  const half = Math.max(...points.filter((_, k) => k % 2 === 0)) - x;
  const part = (size, right, down) =>
    points.map((at, k) => (k % 2 ? z + (at - z) * size + down * half : x + (at - x) * size + right * half));
  for (const [colour, size, right, down] of [[rim, 1, 0, 0], [body, 0.92, -0.02, -0.03], [lit, 0.52, -0.14, -0.16]]) {
    fillShape(ink, part(size, right, down));
    fillWith(ink, colour);
  }
}

function paintStrip(ink, told, frame) {
  ink.fillStyle = "#c2bfa6";
  ink.fillRect(frame.left, frame.stripTop, frame.width - 2 * frame.left, frame.stripPx);
  for (const [depth, rim, body, lit, flat] of told.solids) {
    if (body === lit) continue; // a mouth
    const across = flat.filter((_, k) => k % 2 === 0);
    const low = Math.min(...across) / 10, high = Math.max(...across) / 10;
    const round = ((high - low) / 2) * frame.scale, flatter = (0.8 * frame.stripPx) / (frame.depth * frame.scale);
    const y = Math.min(Math.max(frame.stripY(depth / 10), frame.stripTop + round * flatter),
      frame.stripTop + frame.stripPx - round * flatter);
    for (const [colour, share] of [[rim, 1], [body, 0.84]]) {
      oval(ink, frame.stripX((low + high) / 2), y, share * round, share * round * flatter);
      fillWith(ink, colour);
    }
  }
  if (!told.divider) return;
  ink.beginPath();
  for (const y of [0, frame.depth]) ink.lineTo(frame.stripX(told.divider), frame.stripY(y));
  strokeWith(ink, "#1c2526", Math.max(3, 0.9 * frame.scale));
  strokeWith(ink, "#f6f8f3", Math.max(1.5, 0.5 * frame.scale));
}

// what never moves: the whole tank, and for each depth the rock before it
function paintStill(told, frame, slabs, ratio) {
  const make = () => {
    const canvas = canvasOf(frame.width * ratio, frame.height * ratio), ink = canvas.getContext("2d");
    ink.scale(ratio, ratio);
    return [canvas, ink];
  };
  const [whole, ink] = make();
  paintBackdrop(ink, told, frame);
  for (const solid of told.solids) paintSolid(ink, solid, frame);
  ink.lineWidth = Math.max(2, 0.5 * frame.scale);
  ink.strokeStyle = GLASS;
  ink.strokeRect(frame.left, frame.z(told.size[2], 0), frame.width - 2 * frame.left, frame.floor - frame.z(told.size[2], 0));
  paintStrip(ink, told, frame);
  const before = [null];
  for (let slab = 1; slab < slabs; slab++) {
    const [canvas, over] = make(), depth = (10 * frame.depth * slab) / slabs;
    for (const solid of told.solids) if (solid[0] < depth) paintSolid(over, solid, frame);
    before.push(canvas);
  }
  return { whole, before };
}

// what a fish wears: its species by sex
function wearOf(film, fish) {
  return film.species[fish.species].wear[fish.male];
}

// pictures of one kind of fish by posture and beat of its tail, facing right, each as large as it gets
class Sprites {
  constructor(film, species, male, ratioOfDepth, pixels) {
    const own = { ...film.species[species].wear[male], dashes: film.species[species].dashes };
    this.long = Math.max(16, Math.min(520, Math.ceil(pixels)));
    this.tall = Math.ceil(this.long * ratioOfDepth);
    this.width = Math.ceil(this.long * 1.16);
    this.height = Math.ceil(this.tall * 1.75) + 4;
    this.pictures = {};
    for (const posture of Object.keys(film.shapes)) {
      this.pictures[posture] = [1, 0.86, 0.7].map((tail) => this.paint(film, own, posture, tail));
    }
  }

  points(flat, tail) {
    return flat.map((value, k) => {
      if (k % 2) return this.height / 2 - value * this.tall;
      return this.width / 2 + (value < -0.2 ? -0.2 + (value + 0.2) * tail : value) * this.long;
    });
  }

  paint(film, own, posture, tail) {
    const canvas = canvasOf(this.width, this.height), ink = canvas.getContext("2d");
    const pale = posture === "clamped" ? "pale " : "", thin = Math.max(0.8, this.long / 130);
    const layers = film.shapes[posture].map(([what, flat]) => [what, this.points(flat, tail)]);
    ink.lineJoin = "round";
    for (const [colour, width, parts] of [["halo", 5.6 * thin, []], ["ink", 3 * thin, own.dashes]]) {
      ink.setLineDash(parts.map((part) => 2 * part * thin));
      for (const [what, points] of layers) {
        if (!film.outlined.includes(what)) continue;
        fillShape(ink, points);
        strokeWith(ink, own.colours[colour], width);
      }
    }
    ink.setLineDash([]);
    for (const [what, points] of layers) {
      this.layer(ink, own.colours, pale, what, points, thin);
      if (what !== "belly") continue;
      for (const mark of own.marks) {
        for (const flat of film.patterns[mark]) this.layer(ink, own.colours, pale, mark, this.points(flat, tail), thin);
      }
    }
    return canvas;
  }

  layer(ink, colours, pale, what, points, thin) {
    if (what === "line") {
      ink.beginPath();
      for (let k = 0; k < points.length; k += 2) ink.lineTo(points[k], points[k + 1]);
      strokeWith(ink, colours.ink, thin);
      return;
    }
    fillShape(ink, points);
    fillWith(ink, what === "eye" ? colours.halo : what === "pupil" ? colours.ink : colours[pale + what]);
    if (what === "fin" || what === "dorsal" || what === "eye") strokeWith(ink, colours.ink, 0.6 * thin);
  }
}
