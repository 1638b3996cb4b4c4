// What the browser keeps of each page on this computer, so that a reload or a crash loses nothing.

const START = "rockshy draft ";
const PARTS = ["file", "past", "typed"];
const key = (page, part) => `${START}${page} ${part}`;

/** Keep a value as JSON in a storage of the browser; false when it has no room or keeps nothing. */
export function write(storage, name, value) {
  try {
    window[storage].setItem(name, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}

/** What a storage keeps, or null. What cannot be read counts as not there. */
export function read(storage, name) {
  try {
    return JSON.parse(window[storage].getItem(name));
  } catch {
    return null;
  }
}

export const keep = (page, part, value) => write("localStorage", key(page, part), value);
export const found = (page, part) => read("localStorage", key(page, part));

export function forget(page, parts = PARTS) {
  try {
    for (const part of parts) localStorage.removeItem(key(page, part));
  } catch {
    // a browser that keeps nothing has nothing to forget
  }
}

export function copy(from, to) {
  for (const part of PARTS) {
    const value = found(from, part);
    if (value !== null) keep(to, part, value);
  }
}

/** Make room: pages that are not open keep their file and lose their way back. */
export function makeRoom(open) {
  for (const { page } of others(null)) if (!open.includes(page)) forget(page, ["past"]);
}

/** Drafts of all pages but one, the latest first: [{page, title, name, when}]. */
export function others(own) {
  const all = [];
  try {
    for (let k = 0; k < localStorage.length; k += 1) {
      const [, page] = localStorage.key(k).match(/^rockshy draft (\w+) file$/) ?? [];
      const kept = page && page !== own ? found(page, "file") : null;
      if (kept?.file?.text) all.push({ page, title: kept.title, name: kept.file.name, when: kept.when });
    }
  } catch {
    return [];
  }
  return all.sort((a, b) => b.when - a.when);
}
