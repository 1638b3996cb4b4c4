// Work on the server that a page waits for: started, followed, stopped, found again after a reload.

import { ask, Refused, refusal } from "./ask.js";
import { on } from "./dom.js";
import { read, write } from "./stored.js";
import { tab } from "./tab.js";

const AGAIN_MS = 1000; // between two tries to reach a server that does not answer
const SHORT_LOSS = "Rockshy does not answer; asking again.";

const keyOf = (kind) => `rockshy job ${tab.name} ${kind}`;
const following = new Map(); // id -> {stop}: no job is followed twice

/** A text that tells two drafts apart: the file and the stock list it names. */
export const markOf = (file) => JSON.stringify([file?.text ?? "", file?.stock_list?.text ?? ""]);

/**
 * Start work of a kind, {kind, ...} as /start takes it, on the file as it is once all edits are answered, and follow it.
 *
 * `onState` gets each state; `state.of` is {file, which, name} it was started with, `state.lost` says that the server
 * does not answer just now. Resolves to {id, stop}. A Refused with status 409: other work runs; its `stopOther` then
 * stops that, where it is known.
 */
export async function startJob(draft, what, onState) {
  await settled(draft);
  const of = { file: draft.file, which: what.which ?? 0, name: draft.view?.names?.[what.which ?? 0] ?? "" };
  let id;
  const fault = await refusal(async () => (id = (await ask("/start", { draft: draft.file, what })).job));
  if (fault?.status === 409) fault.stopOther = stopperOfOther();
  if (fault) throw fault;
  following.get(found(what.kind)?.id)?.leave();
  keep(what.kind, { id, of, what });
  return follow(id, what.kind, of, onState);
}

/** Follow the last work of a kind of this page once more; null when there is none. */
export function takeUp(kind, onState) {
  const kept = found(kind);
  return kept && !following.has(kept.id) ? { what: kept.what, ...follow(kept.id, kind, kept.of, onState, true) } : null;
}

export function settled(draft) {
  return new Promise((done) => {
    const look = () => {
      if (draft.busy) return;
      for (const name of ["answered", "refused"]) draft.removeEventListener(name, look);
      done();
    };
    on(draft, "answered refused", look);
    look();
  });
}

function follow(id, kind, of, onState, again = false) {
  const given = new AbortController();
  let last = null;
  const tell = (state) => {
    last = { ...last, ...state };
    onState({ lost: false, ...last, id, of });
  };
  following.set(id, { kind, isRunning: () => !last || last.state === "running", leave: () => given.abort() });
  listen(id, kind, tell, given.signal, again).finally(() => following.delete(id));
  return { id, stop: () => ask("/stop", { job: id }).then(() => {}) };
}

async function listen(id, kind, tell, signal, again) {
  let seen = 0;
  for (;;) {
    try {
      const state = await ask("/follow", { job: id, seen }, { signal });
      if (signal.aborted) return;
      seen = state.version;
      tell({ lost: false, ...state });
      if (state.state !== "running") return;
    } catch (fault) {
      if (signal.aborted) return;
      if (!(fault instanceof Refused)) throw fault;
      if (fault.status === 404) forget(kind, id);
      if (fault.status === 404 && again && seen === 0) return; // of a server that was ended since
      if (!fault.unreached && fault.status !== 429) return tell({ lost: false, state: "failed", problems: fault.problems });
      tell({ lost: true, told: fault.unreached ? SHORT_LOSS : fault.problems.join(" ") });
      await new Promise((go) => setTimeout(go, AGAIN_MS));
    }
  }
}

/** What stops the work of this page that runs now; null when this page knows of none. */
function stopperOfOther() {
  const other = [...following].find(([, one]) => one.isRunning());
  if (!other) return null;
  const [id] = other;
  return async () => {
    await ask("/stop", { job: id });
    while (following.get(id)?.isRunning()) await new Promise((go) => setTimeout(go, 50));
  };
}

function keep(kind, value) {
  // no room: after a reload it is not found again
  if (!write("sessionStorage", keyOf(kind), value)) sessionStorage.removeItem(keyOf(kind));
}

const found = (kind) => read("sessionStorage", keyOf(kind));

function forget(kind, id) {
  if (found(kind)?.id === id) sessionStorage.removeItem(keyOf(kind));
}
