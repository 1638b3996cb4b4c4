// What the page says when the server does not answer, does not know the page, or the browser keeps nothing.

import { button, buttonRow, byId, clear, on, paragraphs, put, say } from "./dom.js";
import { download } from "./files.js";
import * as stored from "./stored.js";
import { openPages } from "./tab.js";

const AGAIN_MS = 2000;

export function mountBanner(draft) {
  const box = byId("banner");
  let again = 0;
  const retry = () => {
    clearTimeout(again);
    again = 0;
    (draft.view ? draft.look() : draft.begin()).catch(() => {});
  };
  on(draft, "refused", ({ detail: fault }) => {
    if (fault.unreached) {
      show(box, fault.problems, WHEN_GONE, retry, draft);
      clearTimeout(again);
      again = setTimeout(retry, AGAIN_MS);
    } else if (fault.unknown) show(box, fault.problems, WHEN_UNKNOWN, null, draft);
    else if (!draft.view) show(box, fault.problems, "", retry, draft);
  });
  on(draft, "back", () => {
    clearTimeout(again);
    if (!box.hidden) say("Rockshy answers again.");
    box.hidden = true;
  });
  on(draft, "unkept", async () => {
    const warning = byId("unkept");
    const wasHidden = warning.hidden;
    stored.makeRoom(await openPages());
    warning.hidden = draft.keepAll();
    if (wasHidden && !warning.hidden) say(warning.textContent);
  });
}

const WHEN_GONE =
  "Type rockshy page in the terminal again, then open the address it prints. Nothing you typed is lost: this browser " +
  "keeps it, and it can still be downloaded here.";
const WHEN_UNKNOWN =
  "Open the address that rockshy page printed in its terminal, with everything after the #. This browser keeps " +
  "what you typed and offers it when the page opens again.";

function show(box, problems, advice, retry, draft) {
  const told = [...problems, advice].join(" ");
  if (!box.hidden && box.told === told) return;
  box.told = told;
  clear(box);
  paragraphs(box, problems, { class: "strong" });
  if (advice) put(box, "p", advice);
  const row = buttonRow(box);
  if (retry) button(row, "Try again", retry);
  if (draft.file) button(row, "Download the file", () => download(draft.file.name, draft.file.text));
  box.hidden = false;
}

export async function mountEarlier(draft, fresh) {
  const box = byId("earlier");
  if (!fresh) return;
  const open = await openPages();
  const drafts = stored.others(draft.page);
  box.hidden = !drafts.length;
  if (!drafts.length) return;
  put(box, "h3", "Kept from earlier pages");
  const list = put(box, "ul");
  for (const one of drafts) offer(list, { ...one, isOpen: open.includes(one.page) }, draft, box);
}

function offer(list, { page, title, name, when, isOpen }, draft, box) {
  const line = put(list, "li");
  const told = title || name;
  put(line, "bdi", told, { class: "strong" });
  const day = new Date(when).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
  put(line, "span", ` ${name}, ${day}${isOpen ? ", open in another page" : ""} `, { class: "soft" });
  const leave = () => {
    line.remove();
    box.hidden = !list.children.length;
  };
  const goOn = async () => {
    leave();
    await draft.goOnWith(page, { isOpen }).catch(() => {});
    say(`${told} is on the page again.`);
    byId("title-of-page").focus();
  };
  const drop = () => {
    stored.forget(page);
    leave();
    say(`${told} is deleted.`);
  };
  button(line, isOpen ? "Go on with a copy" : "Go on with it", goOn, { "aria-label": `Go on with ${told}` });
  if (!isOpen) button(line, "Forget it", drop, { class: "link", "aria-label": `Forget ${told}` });
}
