// Which page of the browser this is, and the word that lets it ask: both live as long as the tab.

const TOKEN = "rockshy token";
const PAGE = "rockshy page";
const OTHER_TAB_MS = 600; // a page that is reloaded gives its name back within this

function keep(name, value) {
  try {
    sessionStorage.setItem(name, value);
  } catch {
    // a browser that keeps nothing: good until the page is reloaded
  }
  return value;
}

/** The token out of the address the terminal printed; it then leaves the address. */
function takeToken() {
  const written = location.hash.slice(1);
  if (/^[\w-]{16,}$/.test(written)) {
    history.replaceState(null, "", location.pathname + location.search);
    return keep(TOKEN, written);
  }
  return sessionStorage.getItem(TOKEN) ?? "";
}

const made = () =>
  Array.from(crypto.getRandomValues(new Uint8Array(16)), (n) => n.toString(16).padStart(2, "0")).join("");

/** Hold a page's name for as long as the page is open; false when another page holds it. */
function hold(name) {
  if (!navigator.locks) return Promise.resolve(true);
  return new Promise((held) => {
    navigator.locks
      .request(`rockshy ${name}`, { signal: AbortSignal.timeout(OTHER_TAB_MS) }, () => {
        held(true);
        return new Promise(() => {});
      })
      .catch(() => held(false));
  });
}

/**
 * The name of this page. A tab that was duplicated brings the name of the first along and gets a new one.
 *
 * `copied` is then the name of the page it was made from; `fresh` says that there was no name before.
 */
async function claim() {
  const before = sessionStorage.getItem(PAGE);
  if (before && (await hold(before))) return { name: before, fresh: false, copied: null };
  const name = made();
  keep(PAGE, name);
  await hold(name);
  return { name, fresh: !before, copied: before };
}

export const token = takeToken();
addEventListener("hashchange", () => {
  // the address of another start of the server, opened in the same tab: only what is behind the # differs
  if (takeToken() !== token) location.reload();
});

export const tab = await claim();

/** Names of pages that are open now, this one among them. */
export async function openPages() {
  if (!navigator.locks) return [tab.name];
  const { held } = await navigator.locks.query();
  return held.map((lock) => lock.name.replace(/^rockshy /, ""));
}
