// Looks over one's real tank, tapped here or on a phone that a page of their own is copied to.

import { ask } from "./ask.js";
import { buttonRow, clear, on, put } from "./dom.js";
import { actButton } from "./field.js";
import { download, saveBlob } from "./files.js";
import { Looks } from "./looks.js";

export function mountWatching(parent, draft) {
  const box = put(parent, "div", null, { class: "looks" });
  const rest = put(parent, "div");
  put(rest, "p", "The tally tells the model about your tank: rockshy sheet FILE --read tally.csv, or rockshy fit FILE --tally tally.csv.", { class: "soft" });
  const row = buttonRow(rest);
  actButton(row, "Save a page of it for a phone", async () => {
    const { page } = await ask("/watching", { draft: draft.file, which: draft.which });
    saveBlob("looks.html", new Blob([page], { type: "text/html" }));
  });
  let shown = "";
  on(document, "sheet", async ({ detail }) => {
    if (detail !== "looks" || !draft.view?.good) return;
    const { lines, tank } = await ask("/watching", { draft: draft.file, which: draft.which });
    if (shown === tank) return;
    shown = tank;
    clear(box);
    new Looks(box, { lines, tank, save: download });
  });
}
