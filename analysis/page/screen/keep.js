// Keeping: the file to this computer and from it, ready scenarios, the file as text, report and paper.

import { Refused } from "./ask.js";
import { button, clear, newId, put, say, showProblems } from "./dom.js";
import { actButton, attempt, TextField } from "./field.js";
import { download, listTextOf, saveBlob, textOf, UnreadableError } from "./files.js";


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
  put(box, "p", "The file holds tank, rock, stock and copies, as the command line reads them.", {
    class: "soft",
  });
  const row = put(box, "div", null, { class: "buttons" });
  const save = button(row, "Download the file", () => saved(draft.file), { id: "download" });
  const list = button(row, "Download its stock list", () => saved(draft.file.stock_list), { hidden: true });
  draft.addEventListener("view", () => {
    save.textContent = `Download ${draft.file.name}`;
    list.hidden = !draft.file.stock_list;
    if (draft.file.stock_list) list.textContent = `Download ${draft.file.stock_list.name}`;
  });
  mountReport(put(box, "div"), draft);
  button(put(box, "div", null, { class: "buttons" }), "Print this page", () => print());
}

function saved({ name, text }) {
  download(name, text);
  say(`${name} is saved.`);
}

/** The page of `rockshy report`, made in the background. */
function mountReport(box, draft) {
  const row = put(box, "div", null, { class: "buttons" });
  const start = button(row, "Make the report", () => make());
  const stop = button(row, "Stop", () => running?.stop(), { hidden: true });
  const told = put(box, "p", null, { class: "soft", hidden: true });
  const links = put(box, "div", null, { class: "buttons" });
  const problems = put(box, "div", null, { hidden: true });
  let running = null;

  const on = (state) => {
    const going = state.state === "running";
    start.disabled = going;
    stop.hidden = !going;
    told.hidden = !state.told;
    told.textContent =
      going && state.asked ? `${state.told} (${state.done} of ${state.asked})` : (state.told ?? "");
    showProblems(problems, state.problems);
    if (!going && state.result?.shown) offerReport(links, state.result);
  };
  const make = () =>
    attempt({ problems }, async () => {
      showProblems(problems, []);
      clear(links);
      const { startJob } = await import("./job.js");
      running = await startJob(draft, { kind: "report" }, on);
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
  mountReady(put(box, "div", null, { class: "field" }), draft);
  const problems = put(null, "div", null, { hidden: true });
  const take = (read, open) => async (input) => {
    const [file] = input.files;
    if (!file) return;
    await attempt({ problems }, () =>
      worded(problems, file.name, async () =>
        open(file, await read(file, draft.begun.limits.bytes)),
      ),
    );
    input.value = ""; // the same file can be chosen again
  };
  const open = take(textOf, async ({ name }, text) => {
    await draft.open({ name, text, stock_list: null }, `${name} opened`);
    say(`${name} is open. What was there before is one undo away.`);
  });
  const openList = take(listTextOf, async ({ name }, text) => {
    await draft.open({ ...draft.file, stock_list: { name, text } }, `stock list ${name} opened`);
    say(`${name} is read as the stock list.`);
  });
  fileField(box, "A file from this computer (.toml)", ".toml,text/plain", open);
  const list = fileField(
    box,
    "The stock list that the file names",
    ".csv,.tsv,.txt,text/csv,text/plain",
    openList,
  );
  box.append(problems);
  draft.addEventListener("view", ({ detail }) => {
    list.hidden = !(draft.view.stock_from_list && !draft.file.stock_list);
    if (!list.hidden && detail.cause === "open") say("The file names a stock list: open that too, below.");
  });
}

function fileField(box, label, accept, take) {
  const id = newId("file");
  const field = put(box, "div", null, { class: "field" });
  put(field, "label", label, { for: id });
  put(field, "input", null, { id, type: "file", accept, onchange: ({ target }) => take(target) });
  return field;
}

/** Do it; a file that cannot be used is said with its name and its words. */
async function worded(problems, name, work) {
  showProblems(problems, []);
  try {
    await work();
  } catch (fault) {
    if (fault instanceof UnreadableError) throw new Refused(422, [fault.message]);
    if (!(fault instanceof Refused)) throw fault;
    const told = fault.problems.map((text) =>
      text.includes(name) || fault.unreached ? text : `${name}: ${text}`,
    );
    throw new Refused(fault.status, told);
  }
}

function mountReady(box, draft) {
  const id = newId("ready");
  put(box, "label", "A ready scenario", { for: id });
  const row = put(box, "div", null, { class: "with-button" });
  const choice = put(row, "select", null, { id });
  const start = actButton(row, "Start from it", async () => {
    if (!choice.value) return choice.focus();
    await draft.open({ scenario: choice.value }, `started from ${choice.value}`);
    return say(`${draft.view.title} is on the page. What was there before is one undo away.`);
  });
  const asks = put(box, "p", null, { class: "soft", id: `${id}-asks` });
  choice.setAttribute("aria-describedby", asks.id);
  start.id = "start-from";
  const show = () =>
    (asks.textContent = draft.begun.scenarios.find(({ name }) => name === choice.value)?.question ?? "");
  choice.addEventListener("change", show);
  draft.addEventListener("view", ({ detail }) => {
    if (detail.cause !== "begin") return;
    choice.replaceChildren(...draft.begun.scenarios.map(({ name, title }) => new Option(title, name)));
    show();
  });
}

// ---- as text

function mountText(parent, draft) {
  const more = put(parent, "details", null, { id: "as-text" });
  put(more, "summary", "The file as text");
  const field = new TextField(more, draft, {
    place: "text",
    label: "Scenario file",
    area: "textarea",
    write: null,
    props: { rows: 22, class: "code" },
  });
  const row = put(more, "div", null, { class: "buttons" });
  const problems = put(more, "div", null, { hidden: true });
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
  field.input.addEventListener("input", show);
  draft.addEventListener("view", show);
}
