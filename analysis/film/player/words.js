// What happened, in words: the caption, the list of events and what is told of the fish that is followed.

const WORDS = {
  chase: "{a} chases {b}", bite: "{a} bites {b}", display: "{a} displays at {b}",
  attack: "{a} makes for {b}", win: "{a} beats {b} in a contest", meal: "{a} feeds",
};

function clockText(seconds, withSeconds) {
  const two = (value) => String(Math.floor(value)).padStart(2, "0");
  const text = `${two(seconds / 3600)}:${two((seconds / 60) % 60)}`;
  return withSeconds ? `${text}:${two(seconds % 60)}` : text;
}

function cmText(value) {
  return `${Number(value).toFixed(1).replace(/\.0$/, "")} cm`;
}

function countText(count, one, many) {
  return `${count} ${count === 1 ? one : many}`;
}

// for the list of events; with lengths and without the reach of the territory for the caption
function eventText(film, told, row, withLengths) {
  const [, kind, actor, target, way, reach, hides] = row, name = film.events[kind];
  const called = (i) => told.fish[i].code + (withLengths ? ` (${cmText(told.fish[i].length)})` : "");
  let text = WORDS[name].replace("{a}", () => called(actor)).replace("{b}", () => called(target));
  if (kind === 0) {
    if (way >= 0) text += `, ${way} cm from the middle of its territory`;
    if (way >= 0 && way <= reach && !withLengths) text += `, which it holds against that kind out to ${reach} cm`;
    if (hides) text += `; ${told.fish[target].code} hides`;
  }
  return text;
}

function doingText(told, fish) {
  const other = told.fish[fish.partner], code = other ? other.code : "";
  if (!fish.here) return "not in the tank";
  if (fish.doing === SHELTERED) return told.corner[fish.hole] ? "pressed into a corner" : "hiding";
  if (fish.doing === FLEEING) return code ? `fleeing from ${code}` : "fleeing";
  if (fish.doing === CHASING) return code ? `after ${code}` : "chasing";
  if (fish.doing === CONTESTING) return code ? `contest with ${code}` : "in a contest";
  if (fish.doing === RETREATING) return "making for a hole";
  return fish.fright >= AFRAID ? "out, frightened" : "swimming";
}

// chases received so far by chaser, the chief one first
function chasersOf(view, i, now) {
  const found = new Map();
  for (const [tick, , actor, target] of view.chases) {
    if (tick * view.film.tick > now) break;
    if (target === i) found.set(actor, (found.get(actor) || 0) + 1);
  }
  return [...found].sort((a, b) => b[1] - a[1] || a[0] - b[0]);
}

// seconds so far that a fish hid, and that it was in the tank
function hiddenSoFar(view, i, now) {
  const d = view.doings[i], tick = view.film.tick;
  let hidden = 0;
  for (let k = 0; k < d.tick.length; k++) {
    const from = d.tick[k] * tick, to = k + 1 < d.tick.length ? d.tick[k + 1] * tick : view.film.seconds;
    if (from >= now) break;
    if (d.doing[k] === SHELTERED) hidden += Math.min(to, now) - from;
  }
  const stays = view.fish[i].stays;
  let lit = 0;
  for (let k = 0; k < stays.length; k += 2) lit += Math.max(0, Math.min(now, stays[k + 1] * tick) - stays[k] * tick);
  return [hidden, lit];
}

function minutesText(seconds) {
  return seconds < 90 ? `${Math.round(seconds)} s` : `${Math.round(seconds / 60)} min`;
}

// the same for a room, in one breath
function tallyText(view, i, now) {
  const total = chasersOf(view, i, now).reduce((sum, [, count]) => sum + count, 0);
  const [hidden, lit] = hiddenSoFar(view, i, now);
  return `Chased ${countText(total, "time", "times")} so far; hid ${minutesText(hidden)} of ${minutesText(lit)}.`;
}

function factsText(view, i, now) {
  const fish = view.fish[i], chasers = chasersOf(view, i, now);
  const total = chasers.reduce((sum, [, count]) => sum + count, 0);
  const [hidden, lit] = hiddenSoFar(view, i, now);
  const who = chasers.slice(0, 3).map(([k, count]) => `${view.fish[k].code}, ${cmText(view.fish[k].length)}: ${count}`).join("; ");
  const given = view.chases.filter((row) => row[2] === i && row[0] * view.film.tick <= now).length;
  return `${fish.code}, ${cmText(fish.length)}, so far: chased ${countText(total, "time", "times")}${who ? ` (${who})` : ""}, `
    + `chased others ${countText(given, "time", "times")}, hid ${minutesText(hidden)} of ${minutesText(lit)}.`;
}
