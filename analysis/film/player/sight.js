// Who sees whom: along open cells, and into a crevice through its mouth, by the rule of sim/tank/sight.py and
// sim/rules/senses.py.

class Sight {
  constructor(told) {
    [this.nx, this.ny, this.nz] = told.shape;
    const bits = bytesOf(told.open), count = this.nx * this.ny * this.nz;
    this.number = new Int32Array(count).fill(-1);
    let found = 0;
    for (let k = 0; k < count; k++) if ((bits[k >> 3] >> (k & 7)) & 1) this.number[k] = found++;
    this.looksIn = told.looksIn.map((text) => bitsOf(text, found));
    this.corner = told.corner;
    this.reach = told.sight / told.edge;
  }

  at(x, y, z) {
    if (x < 0 || y < 0 || z < 0 || x >= this.nx || y >= this.ny || z >= this.nz) return -1;
    return this.number[(x * this.ny + y) * this.nz + z];
  }

  // along the line from one cell to another all cells are open, rounding ties either way alike
  clear(a, b) {
    const d = b.map((value, axis) => value - a[axis]);
    if (d.reduce((sum, part) => sum + part * part, 0) > this.reach * this.reach) return false;
    return this.open(a, d, 0) || this.open(a, d, 1);
  }

  open(a, d, half) {
    const longest = Math.max(...d.map(Math.abs));
    for (let k = 1; k < longest; k++) {
      const at = d.map((part, axis) => {
        const size = Math.floor((2 * Math.abs(part) * k + longest - half) / (2 * longest));
        return a[axis] + (part > 0 ? size : -size);
      });
      if (this.at(...at) < 0) return false;
    }
    return true;
  }

  // one and two: {cell: [x, y, z], hole: refuge it is hidden in or -1}
  sees(one, two) {
    const oneIn = one.hole >= 0 && !this.corner[one.hole], twoIn = two.hole >= 0 && !this.corner[two.hole];
    if (oneIn && twoIn) return false;
    if (oneIn) return this.into(one.hole, two.cell);
    if (twoIn) return this.into(two.hole, one.cell);
    return this.clear(one.cell, two.cell);
  }

  into(hole, cell) {
    const number = this.at(...cell);
    return number >= 0 && this.looksIn[hole][number] === 1;
  }
}
