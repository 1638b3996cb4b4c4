// Steps back and forth. A step is the file as it was, what was shown of it, and what was then done to it.

export const MOST_STEPS = 100;
const MOST_SIGNS = 2_000_000; // of all files kept, in characters: well within what browsers keep for a page

const size = (step) => step.file.text.length + (step.file.stock_list?.text.length ?? 0);

export class Steps {
  constructor({ past = [], future = [] } = {}) {
    this.past = past;
    this.future = future;
  }

  /** Note what was there before a change. Changes with the same `joined` in a row are one step: letters of a number. */
  note(step) {
    const last = this.past.at(-1);
    this.future = [];
    if (step.joined && last?.joined === step.joined) last.said = step.said;
    else this.past.push(step);
    this.#bound();
  }

  seal() {
    const last = this.past.at(-1);
    if (last) last.joined = null;
  }

  /** Take the last step back; `now` can then be gone forth to. Null when there is none. */
  back(now) {
    return take(this.past, this.future, now);
  }

  forth(now) {
    return take(this.future, this.past, now);
  }

  /** The latest steps each way, at most so many: what is kept where there is little room. */
  latest(most) {
    return { past: this.past.slice(-most), future: this.future.slice(-most) };
  }

  #bound() {
    let signs = this.past.reduce((sum, step) => sum + size(step), 0);
    while (this.past.length > MOST_STEPS || (this.past.length > 1 && signs > MOST_SIGNS))
      signs -= size(this.past.shift());
  }
}

function take(from, to, now) {
  const step = from.pop() ?? null;
  if (step) to.push({ ...now, said: step.said });
  return step;
}
