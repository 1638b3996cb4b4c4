// Keeping: the file to this computer and from it, ready scenarios, the file as text, report and paper.

import { Refused, refusal } from "./ask.js";
import { button, buttonRow, byId, clear, details, labelled, on, problemBox, put, say, set, showProblems, showUnderstood } from "./dom.js";
import { actButton, attempt, TextField } from "./field.js";
import { download, listTextOf, saveBlob, textOf, UnreadableError } from "./files.js";
import { showFilm } from "./film.js";
import { startJob } from "./job.js";

export function mountKeep(parent, draft) {
  const columns = put(parent, "div", null, { class: "columns" });
  mountSave(part(columns, "Save"), draft);
  mountOpen(part(columns, "Open"), draft);
  mountText(parent, draft);
}

function part(parent, head) {
  const box = put(parent, "div", null, { class: "part" });
  put(box, "h3", head);
  return box;
}

// ---- out

function mountSave(box, draft) {
  const told = "The file holds tank, rock, stock and copies, as the command line reads them.";
  put(box, "p", told, { class: "soft" });
  const row = buttonRow(box);
  const save = button(row, "Download the file", () => saved(draft.file), { id: "download" });
  const list = button(row, "Download its stock list", () => saved(draft.file.stock_list), { hidden: true });
  on(draft, "view", () => {
    save.textContent = `Download ${draft.file.name}`;
    list.hidden = !draft.file.stock_list;
    if (draft.file.stock_list) list.textContent = `Download ${draft.file.stock_list.name}`;
  });
  mountReport(put(box, "div"), draft);
  const last = buttonRow(box);
  button(last, "Print this page", () => print());
  button(last, "One file to show others", () => showFilm(draft, { which: draft.which, title: draft.view.title }));
  on(window, "beforeprint", () => fillPaper(byId("on-paper"), draft));
}

/** What the page holds behind its buttons, as sentences for paper. */
function fillPaper(paper, { view }) {
  clear(paper);
  for (const [part, pieces] of Object.entries(view?.checks ?? {})) {
    if (!pieces.length) continue;
    put(paper, "h2", HEADS[part]);
    showUnderstood(paper, pieces);
  }
  for (const { text } of [...(view?.flags ?? []), ...(view?.cautions ?? [])]) put(paper, "p", text, { dir: "auto" });
}

const HEADS = { tank: "Tank", rock: "Rock", fish: "Fish", run: "How it is run" };

function saved({ name, text }) {
  download(name, text);
  say(`${name} is saved.`);
}

function mountReport(box, draft) {
  const row = buttonRow(box);
  const start = button(row, "Make the report", () => make());
  const stop = button(row, "Stop", () => running?.stop(), { hidden: true });
  const told = put(box, "p", null, { class: "soft", hidden: true });
  const links = buttonRow(box);
  const problems = problemBox(box);
  let running = null;

  const follow = (state) => {
    const going = state.state === "running";
    start.disabled = going;
    stop.hidden = !going;
    told.hidden = !state.told;
    told.textContent = (state.told ?? "") + (going && state.asked ? ` (${state.done} of ${state.asked})` : "");
    showProblems(problems, state.problems);
    if (!going && state.result?.shown) offerReport(links, state.result);
  };
  const make = () =>
    attempt({ problems }, async () => {
      showProblems(problems, []);
      clear(links);
      running = await startJob(draft, { kind: "report" }, follow);
    });
}

function offerReport(links, { shown, name }) {
  clear(links);
  put(links, "a", "Open the report", { href: shown, target: "_blank", rel: "noopener", class: "button" });
  button(links, `Save ${name}`, async () => saveBlob(name, await (await fetch(shown)).blob()));
  say("The report is ready.");
}

// ---- in

function mountOpen(box, draft) {
  mountReady(box, draft);
  const problems = problemBox(null);
  const take = (read, open) => async ({ target: input }) => {
    const [file] = input.files;
    if (!file) return;
    showProblems(problems, []);
    const work = async () => open(file, await read(file, draft.begun.limits.bytes));
    await attempt({ problems }, () => worded(file.name, work));
    input.value = ""; // the same file can be chosen again
  };
  const open = take(textOf, async ({ name }, text) => {
    await draft.open({ name, text, stock_list: null }, `${name} opened`);
    say(`${name} is open. Undo brings back what was there before.`);
  });
  const openList = take(listTextOf, async ({ name }, text) => {
    await draft.open({ ...draft.file, stock_list: { name, text } }, `stock list ${name} opened`);
    say(`${name} is read as the stock list.`);
  });
  fileField(box, "A file from this computer (.toml)", ".toml,text/plain", open);
  const lists = ".csv,.tsv,.txt,text/csv,text/plain";
  const list = fileField(box, "The stock list that the file names", lists, openList);
  box.append(problems);
  on(draft, "view", ({ detail }) => {
    list.hidden = !(draft.view.stock_from_list && !draft.file.stock_list);
    if (!list.hidden && detail.cause === "open") say("The file names a stock list: open that too, below.");
  });
}

const fileField = (box, label, accept, onchange) => labelled(box, label, "input", { type: "file", accept, onchange }).box;

/** Do it; a file that cannot be used is said with its name and its words. */
async function worded(name, work) {
  const fault = await refusal(async () => {
    try {
      await work();
    } catch (fault) {
      throw fault instanceof UnreadableError ? new Refused(422, [fault.message]) : fault;
    }
  });
  if (!fault) return;
  const isSaid = (text) => text.includes(name) || fault.unreached;
  throw new Refused(fault.status, fault.problems.map((text) => (isSaid(text) ? text : `${name}: ${text}`)));
}

function mountReady(parent, draft) {
  const { box, input: choice } = labelled(parent, "A ready scenario", "select");
  const row = put(box, "div", null, { class: "with-button" });
  row.append(choice);
  const start = async () => {
    if (!choice.value) return choice.focus();
    await draft.open({ scenario: choice.value }, `started from ${choice.value}`);
    return say(`${draft.view.title} is on the page. Undo brings back what was there before.`);
  };
  actButton(row, "Start from it", start, { id: "start-from" });
  const asks = put(box, "p", null, { class: "soft", id: `${choice.id}-asks` });
  set(choice, "aria-describedby", asks.id);
  const show = () => {
    asks.textContent = draft.begun.scenarios.find(({ name }) => name === choice.value)?.question ?? "";
  };
  on(choice, "change", show);
  on(draft, "view", ({ detail }) => {
    if (detail.cause !== "begin") return;
    choice.replaceChildren(...draft.begun.scenarios.map(({ name, title }) => new Option(title, name)));
    show();
  });
}

// ---- as text

function mountText(parent, draft) {
  const more = details(parent, "The file as text", { id: "as-text" });
  const how = { place: "text", label: "Scenario file", area: "textarea", props: { rows: 22, class: "code" } };
  const field = new TextField(more, draft, how);
  const row = buttonRow(more);
  const problems = problemBox(more);
  // a text area knows no other line end than \n: a file with \r\n keeps its own
  const asTyped = (text) => (draft.file.text.includes("\r\n") ? text.replace(/\n/g, "\r\n") : text);
  const show = () => {
    if (draft.typed[`${draft.which} text`] === undefined) field.input.value = draft.file.text;
    take.disabled = back.disabled = field.text === draft.file.text.replace(/\r\n?/g, "\n");
    showProblems(problems, draft.view.problems);
  };
  const take = button(row, "Take this text", () =>
    attempt({ problems }, async () => {
      await draft.edit([{ do: "text", text: asTyped(field.text) }], "the file typed as text");
      field.empty();
      show();
      say("The text is taken.");
    }),
  );
  const back = button(row, "Back to the file", () => {
    field.empty();
    show();
  });
  on(field.input, "input", show);
  on(draft, "view", show);
}
