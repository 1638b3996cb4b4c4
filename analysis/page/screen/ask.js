// One question to the server, one answer. Whatever goes wrong comes back as a Refused with words.

import { tab, token } from "./tab.js";

/** `status`: as the server gave it, 0 when it did not answer. `problems`: sentences to show. */
export class Refused extends Error {
  constructor(status, problems) {
    super(problems.join(" "));
    this.name = "Refused";
    Object.assign(this, { status, problems });
    this.unreached = status === 0; // the server does not run, or does not answer
    this.unknown = status === 403; // it does not know this page: another start of it, another address
  }
}

const NO_ANSWER = "Rockshy does not answer: it was stopped in its terminal, or the computer was asleep.";

/** Ask the server at a path such as "/edit"; a `signal` gives the question up, and the promise throws its reason. */
export async function ask(path, body = {}, { signal } = {}) {
  let answer;
  let told;
  try {
    answer = await fetch(path, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Rockshy-Token": token, "X-Rockshy-Page": tab.name },
      body: JSON.stringify(body),
      signal,
    });
    told = await answer.text();
  } catch {
    if (signal?.aborted) throw signal.reason;
    throw new Refused(0, [NO_ANSWER]);
  }
  const read = asJson(told);
  if (answer.ok && read) return read;
  const problems = read?.problems?.length ? [read.problems].flat() : [`Answer ${answer.status}.`];
  throw new Refused(answer.ok ? 500 : answer.status, problems.map(String));
}

function asJson(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** Do some work; the Refused it ended with, null when it was done. */
export async function refusal(work) {
  try {
    await work();
    return null;
  } catch (fault) {
    if (fault instanceof Refused) return fault;
    throw fault;
  }
}
