// Ways and doings of fish out of few bytes; the counterpart of analysis/film/coding.py.

const IN = 26, OUT = 27, AT = 28, FRIGHTS = 8;
const SWIMMING = 0, SHELTERED = 1, FLEEING = 2, CHASING = 3, CONTESTING = 4, RETREATING = 5, BOXED = 6;

// the 26 steps to neighbouring cells, in the order of sim/tank/paths.py: faces, edges, corners, each sorted
const ASIDES = [-1, 0, 1];
const STEPS = ASIDES.flatMap((x) => ASIDES.flatMap((y) => ASIDES.map((z) => [x, y, z])))
  .sort((a, b) => Math.hypot(...a) - Math.hypot(...b)).slice(1); // sorting keeps the order of equals

function bytesOf(text) {
  return Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
}

function numbersOf(text) {
  const found = [];
  let number = 0, shift = 0;
  for (const byte of bytesOf(text)) {
    number |= (byte & 127) << shift;
    shift += 7;
    if (byte < 128) {
      found.push(number);
      number = shift = 0;
    }
  }
  return found;
}

// time in units, cell x y z, refuge (-1: in open water), one entry after the other
function wayOf(text) {
  const numbers = numbersOf(text), time = [], cell = [], hole = [];
  let now = 0, x = 0, y = 0, z = 0, refuge = -1, k = 0;
  while (k < numbers.length) {
    now += numbers[k++];
    const code = numbers[k++];
    if (code === AT) [x, y, z, refuge] = [numbers[k++], numbers[k++], numbers[k++], -1];
    else if (code === IN) refuge = numbers[k++];
    else if (code === OUT) refuge = -1;
    else [x, y, z] = STEPS[code].map((step, axis) => step + [x, y, z][axis]);
    if (code === IN && time.at(-1) === now) {
      time.pop();
      cell.length -= 3;
      hole.pop();
    }
    time.push(now);
    cell.push(x, y, z);
    hole.push(refuge);
  }
  return { time: Float64Array.from(time), cell: Int16Array.from(cell), hole: Int16Array.from(hole) };
}

// a row of noughts and ones out of the lengths of its runs
function bitsOf(text, count) {
  const found = new Uint8Array(count);
  let at = 0, value = 0;
  for (const length of numbersOf(text)) {
    if (value) found.fill(1, at, at + length);
    at += length;
    value = 1 - value;
  }
  return found;
}

function doingsOf(text) {
  const numbers = numbersOf(text), count = numbers.length / 3;
  const found = {
    tick: new Float64Array(count), doing: new Uint8Array(count),
    fright: new Uint8Array(count), partner: new Int16Array(count),
  };
  let now = 0;
  for (let k = 0; k < count; k++) {
    now += numbers[3 * k];
    found.tick[k] = now;
    found.doing[k] = Math.floor(numbers[3 * k + 1] / FRIGHTS);
    found.fright[k] = numbers[3 * k + 1] % FRIGHTS;
    found.partner[k] = numbers[3 * k + 2] - 1;
  }
  return found;
}

// the last entry that is not later; -1 before the first
function lastBefore(times, now) {
  let low = 0, high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] <= now) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}
