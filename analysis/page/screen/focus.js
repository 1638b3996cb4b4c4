// The focus stays on the page when what has it is hidden, switched off or taken away: it goes to what is next to that.

import { byId } from "./dom.js";

const STOPS = "a[href], button, input, select, textarea, summary, [tabindex='0']";

const isThere = (one) => one.isConnected && !one.disabled && one.checkVisibility();

export function keepFocus() {
  let held = null; // what had the focus last, and what lies around it, from the inside
  let isDue = false;
  const look = () => {
    isDue = false;
    if (!held || isThere(held.element) || !document.hasFocus()) return;
    if (![document.body, held.element].includes(document.activeElement)) return;
    nextTo(held).focus({ preventScroll: true });
  };
  const hold = (element) => (held = element === document.body ? null : { element, around: around(element) });
  document.addEventListener("focusin", ({ target }) => hold(target));
  // a click beside everything takes the focus away, and that is meant
  document.addEventListener("click", () => hold(document.activeElement ?? document.body), { capture: true });
  new MutationObserver(() => {
    if (isDue || !held) return;
    isDue = true;
    requestAnimationFrame(look); // after whoever made the change has moved the focus by itself
  }).observe(document.body, { subtree: true, childList: true, attributeFilter: ["hidden", "disabled", "open"] });
}

function around(element) {
  const boxes = [];
  for (let box = element.parentElement; box; box = box.parentElement) boxes.push(box);
  return boxes;
}

function nextTo({ element, around: boxes }) {
  for (const box of boxes) {
    if (box === document.body) break;
    if (!isThere(box)) continue;
    const stops = [...box.querySelectorAll(STOPS)].filter((one) => one.tabIndex >= 0 && isThere(one));
    if (!stops.length) continue;
    if (!element.isConnected) return stops[0];
    return stops.find((one) => element.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING) ?? stops.at(-1);
  }
  return byId("title-of-page");
}
