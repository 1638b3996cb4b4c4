// Something carried by mouse or finger across the page, until it is let go over what takes it.

import { on, put } from "./dom.js";

/**
 * Carry from a pointer event on. `text`, `colours` {body, second}: what is carried; `over(target)`: a word for what
 * would happen there, "" for nothing; `drop(target, event)`: it is let go. Escape lets it go for nothing.
 */
export function carry(event, { text, colours, over, drop }) {
  const ghost = put(document.body, "div", null, { class: "ghost", "aria-hidden": "true" });
  putFish(ghost, colours);
  put(ghost, "span", text);
  const given = new AbortController();
  const move = ({ clientX, clientY }) => {
    ghost.style.transform = `translate(${clientX}px, ${clientY}px)`;
    const target = document.elementFromPoint(clientX, clientY);
    const does = over(target);
    ghost.dataset.does = does;
    document.documentElement.dataset.carried = does || "nowhere";
  };
  const end = () => {
    given.abort();
    ghost.remove();
    delete document.documentElement.dataset.carried;
  };
  const { signal } = given;
  move(event);
  on2(window, "pointermove", move, signal);
  on2(window, "pointerup", (last) => {
    end();
    drop(document.elementFromPoint(last.clientX, last.clientY), last);
  }, signal);
  on2(window, "pointercancel", end, signal);
  on2(window, "keydown", ({ key }) => key === "Escape" && end(), signal);
}

const on2 = (thing, name, work, signal) => thing.addEventListener(name, work, { signal });

/** A small fish in two colours. */
export function putFish(parent, { body, second, colours }, size = 26) {
  const NS = "http://www.w3.org/2000/svg";
  const svg = document.createElementNS(NS, "svg");
  const set = (element, props) => Object.entries(props).forEach(([name, value]) => element.setAttribute(name, value));
  set(svg, { viewBox: "0 0 26 14", width: size, height: (size * 14) / 26, class: "small-fish", "aria-hidden": "true" });
  const shapes = [
    ["M1 7 C5 0 15 0 19 6 L25 2 L24 7 L25 12 L19 8 C15 14 5 14 1 7 Z", body ?? colours?.body],
    ["M9 2.2 C12 1.6 15 2.4 17 4.4 C17 7 17 8 16 9.6 C13.4 11.6 11 12 9 11.8 C10.6 8.6 10.6 5.4 9 2.2 Z", second],
  ];
  for (const [d, fill] of shapes) {
    const path = document.createElementNS(NS, "path");
    set(path, { d, fill: fill ?? "#9aa0a0" });
    svg.append(path);
  }
  parent.append(svg);
  return svg;
}
