// What happened, in words: the caption, the list of events and what is told of the fish that is followed.

const WORDS = {
  chase: "{a} chases {b}", bite: "{a} bites {b}", display: "{a} displays at {b}",
  attack: "{a} makes for {b}", win: "{a} beats {b} in a contest", meal: "{a} feeds",
};

function clockText(film, now) {
  const seconds = film.clock + now;
  return [seconds / 3600, (seconds / 60) % 60, seconds % 60].map((part) => String(Math.floor(part)).padStart(2, "0")).join(":");
}

function cmText(value) {
  return `${Number(value).toFixed(1).replace(/\.0$/, "")} cm`;
}

function timesText(count) {
  return `${count} ${count === 1 ? "time" : "times"}`;
}

// for the list of events; with lengths for the caption
function eventText(film, told, row, withLengths) {
  const [, kind, actor, target, apart, onGround, hides] = row, name = film.events[kind];
  const called = (i) => told.fish[i].code + (withLengths ? ` (${cmText(told.fish[i].length)})` : "");
  let text = WORDS[name].replace("{a}", () => called(actor)).replace("{b}", () => called(target));
  if (kind === 0) {
    text += `, ${apart} cm away`;
    if (onGround) text += `, on ground that ${told.fish[actor].code} holds`;
    if (hides) text += `; ${told.fish[target].code} hides`;
  }
  return text;
}

function doingText(told, fish) {
  const code = told.fish[fish.partner]?.code;
  if (!fish.here) return "not in the tank";
  if (fish.doing === SHELTERED) return told.corner[fish.hole] ? "in a corner" : "hiding";
  if (fish.doing === FLEEING) return code ? `fleeing from ${code}` : "fleeing";
  if (fish.doing === CHASING) return code ? `after ${code}` : "chasing";
  if (fish.doing === CONTESTING) return code ? `facing ${code}` : "in a contest";
  if (fish.doing === RETREATING) return "making for a hole";
  if (fish.doing === BOXED) return "in its box";
  return fish.fright >= AFRAID ? "out, frightened" : "swimming";
}

// chases received so far by chaser, the chief one first, and how many they are
function chasersOf(view, i, now) {
  const found = new Map();
  for (const [, , actor, target] of view.chasesUntil(now)) {
    if (target === i) found.set(actor, (found.get(actor) || 0) + 1);
  }
  const chasers = [...found].sort((a, b) => b[1] - a[1] || a[0] - b[0]);
  return [chasers, timesText(chasers.reduce((sum, [, count]) => sum + count, 0))];
}

// how long so far a fish hid, and of how much of its time in the tank
function hiddenText(view, i, now) {
  const spent = (spans) => spans.reduce((sum, [from, to]) => sum + Math.max(0, Math.min(now, to) - from), 0);
  const { stays } = view.fish[i], lit = [];
  for (let k = 0; k < stays.length; k += 2) lit.push([stays[k] * view.film.tick, stays[k + 1] * view.film.tick]);
  return `hid ${minutesText(spent(view.hidings(i)))} of ${minutesText(spent(lit))}`;
}

function minutesText(seconds) {
  return seconds < 90 ? `${Math.round(seconds)} s` : `${Math.round(seconds / 60)} min`;
}

// the same for a room, in one breath
function tallyText(view, i, now) {
  return `Chased ${chasersOf(view, i, now)[1]} so far; ${hiddenText(view, i, now)}.`;
}

function factsText(view, i, now) {
  const fish = view.fish[i], [chasers, received] = chasersOf(view, i, now);
  const who = chasers.slice(0, 3).map(([k, count]) => `${view.fish[k].code}, ${cmText(view.fish[k].length)}: ${count}`).join("; ");
  const given = view.chasesUntil(now).filter((row) => row[2] === i).length;
  return `${fish.code}, ${cmText(fish.length)}, so far: chased by others ${received}${who ? ` (${who})` : ""}, `
    + `chasing others ${timesText(given)}, ${hiddenText(view, i, now)}.`;
}
