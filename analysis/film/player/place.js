// Where a fish is between two sub-steps; the counterpart of analysis/film/place.py, which explains it.

const LINGER_S = 1.6, TO_HOLE_S = 0.5, ASIDE = 0.22;
const SIDES = [[0.618034, 0.1], [0.754878, 0.4], [0.56984, 0.7]];

function asideOf(i) {
  return SIDES.map(([step, first]) => ASIDE * (2 * ((step * (i + 1) + first) % 1) - 1));
}

function borderInto(way, k, other, axis) {
  if (other < 0 || other >= way.time.length) return 0;
  let far = 0;
  for (let a = 0; a < 3; a++) far = Math.max(far, Math.abs(way.cell[3 * other + a] - way.cell[3 * k + a]));
  return far <= 1 ? (way.cell[3 * other + axis] - way.cell[3 * k + axis]) / 2 : 0;
}

// how far through its cell a fish is that stays there for a while: in, hovering, out
function lingering(seconds, stay) {
  const part = seconds / LINGER_S, left = Math.max(0, 1 - (stay - seconds) / LINGER_S);
  return part < 1 ? 0.5 * part * (2 - part) : 0.5 + 0.5 * left * left;
}

// place in cells into out[0..2]; unit: units since the film began; mouths: places of refuges in cells
function placeAt(way, unit, side, mouths, secondsPerUnit, out) {
  const count = way.time.length, k = Math.max(0, lastBefore(way.time, unit));
  const seconds = Math.max(0, (unit - way.time[k]) * secondsPerUnit);
  const hole = way.hole[k], cameFrom = k > 0 ? way.hole[k - 1] : -1;
  const stay = k + 1 < count ? (way.time[k + 1] - way.time[k]) * secondsPerUnit : Infinity;
  const lingers = stay > 2 * LINGER_S;
  const u = lingers ? lingering(seconds, stay) : stay > 0 ? seconds / stay : 0;
  const hiding = (from, to, spent, n) => from + (to - from) * (n > 0 ? Math.min(1, spent / TO_HOLE_S) : 1);
  for (let axis = 0; axis < 3; axis++) {
    const here = way.cell[3 * k + axis] + 0.5 + side[axis];
    let before = here + borderInto(way, k, k - 1, axis);
    const after = here + borderInto(way, k, k + 1, axis);
    if (hole >= 0) {
      out[axis] = hiding(before, mouths[hole][axis], seconds, k);
      continue;
    }
    if (cameFrom >= 0) { // out of the hole it was in, or of the way there
      const entry = way.cell[3 * (k - 1) + axis] + 0.5 + side[axis] + borderInto(way, k - 1, k - 2, axis);
      before = hiding(entry, mouths[cameFrom][axis], (way.time[k] - way.time[k - 1]) * secondsPerUnit, k - 1);
    }
    if (cameFrom >= 0 || lingers) {
      out[axis] = u < 0.5 ? before + (here - before) * 2 * u : here + (after - here) * (2 * u - 1);
    } else {
      out[axis] = (1 - u) * (1 - u) * before + 2 * u * (1 - u) * here + u * u * after;
    }
  }
  return k;
}
