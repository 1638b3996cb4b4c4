"""Hands that have a keyboard and nothing else, and that look at every stop for the mark of the focus."""

from __future__ import annotations

from typing import Any

from page_on_screen import Open, expect

MOST_STOPS = 500
# What has the focus, and how it is marked: an outline, or in a picture the line around a mark.
STOP = """() => {
  const one = document.activeElement;
  const { outlineStyle, outlineWidth } = getComputedStyle(one);
  const around = one.querySelector?.(":scope > .touch");
  const mark = around ? getComputedStyle(around) : null;
  const wide = outlineStyle === "none" ? 0 : parseFloat(outlineWidth);
  window.stops ??= new Map();
  if (!window.stops.has(one)) window.stops.set(one, window.stops.size);
  return {
    number: window.stops.get(one),
    lost: one === document.body || one === document.documentElement,
    tag: one.localName,
    told: one.outerHTML.slice(0, 120),
    wide: Math.max(wide, mark && mark.stroke !== "none" ? parseFloat(mark.strokeWidth) : 0),
    seen: one.checkVisibility({ opacityProperty: true, visibilityProperty: true }),
  };
}"""
BEFORE = """(target) => {
  const now = document.activeElement;
  if (!target.isConnected) return "gone";
  if (now === target) return null;
  return Boolean(now.compareDocumentPosition(target) & Node.DOCUMENT_POSITION_PRECEDING);
}"""
# All that Tab should come to: of radio buttons the one that is chosen, of marks in a picture one.
STOPS = """() => {
  const all = "a[href], button, input, select, textarea, summary, iframe, [tabindex]";
  const radios = [...document.querySelectorAll("input[type=radio]")];
  const chosen = (one) =>
    one.type !== "radio" || one.checked || !radios.some((other) => other.name === one.name && other.checked);
  return [...document.querySelectorAll(all)]
    .filter((one) => one.tabIndex >= 0 && !one.disabled && one.checkVisibility() && chosen(one));
}"""
MISSED = (
    f"""() => ({STOPS})().filter((one) => !window.stops.has(one)).map((one) => one.outerHTML.slice(0, 120))"""
)
ENDS = f"""() => {{
  const all = ({STOPS})();
  return [all[0], all.at(-1)].map((one) => window.stops.get(one) ?? null);
}}"""
SOMEWHERE = "() => document.activeElement && document.activeElement !== document.body"


class Hands:
    """The keyboard of a page."""

    def __init__(self, one: Open) -> None:
        self.one, self.page = one, one.page
        self.least = 2.0  # px that a mark of the focus is wide

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)

    def stop(self) -> dict[str, Any]:
        """Where the focus is; it is somewhere, and one sees where."""
        here: dict[str, Any] = self.page.evaluate(STOP)
        if here["lost"]:
            # a film is a page of its own: on the way out of it the focus is nowhere for a moment
            self.page.wait_for_function(SOMEWHERE)
            here = self.page.evaluate(STOP)
        assert here["seen"], f"the focus is on what is not seen: {here['told']}"
        assert here["tag"] == "iframe" or here["wide"] >= self.least, f"no mark of the focus: {here['told']}"
        return here

    def go(self, target: Any) -> None:
        """By Tab or Shift and Tab, from where the focus is, to an element."""
        wanted = target.element_handle()
        for _ in range(MOST_STOPS):
            back = self.page.evaluate(BEFORE, wanted)
            if back == "gone":  # a picture is drawn anew when its box changes size
                wanted = target.element_handle()
                continue
            if back is None:
                self.stop()
                return
            self.press("Shift+Tab" if back else "Tab")
            self.stop()
        raise AssertionError(f"no way by Tab to {wanted.evaluate('one => one.outerHTML.slice(0, 120)')}")

    def write(self, field: Any, text: str, *, shown: str | None = None) -> None:
        """Go to a field, type over what stands there, and go on."""
        self.go(field)
        self.press("Control+A")
        self.type(text)
        self.press("Tab")
        self.stop()
        expect(field).to_have_value(text if shown is None else shown)

    def push(self, button: Any, key: str = "Enter") -> None:
        """Go to a button and press it."""
        self.go(button)
        self.press(key)

    def open(self, part: str) -> None:
        """Close what lies over the tank, and open another sheet."""
        if self.one.find("dialog.sheet[open]").count():
            self.press("Escape")
        self.push(self.one.find(f"[data-opens={part}]").first)
        expect(self.one.find(f"#{part}")).to_be_visible()

    def round(self, key: str) -> list[int]:
        """All stops of Tab, or of Shift and Tab, from one end of the page to the other."""
        stops: list[int] = []
        for _ in range(MOST_STOPS):
            self.press(key)
            is_nowhere = self.page.evaluate("document.activeElement === document.body")
            if is_nowhere and (not stops or stops[-1] == self.page.evaluate(ENDS)[key == "Tab"]):
                if stops:
                    return stops
                continue  # before the first
            number = int(self.stop()["number"])
            if not stops or stops[-1] != number:  # a film has stops of its own inside
                stops.append(number)
        raise AssertionError("Tab does not come round")

    def stays(self, target: Any) -> None:
        """The focus is on an element, seen."""
        expect(target).to_be_focused()
        self.stop()


def step(hands: Hands, before: str) -> None:
    """Wait until the file is another one, with the focus still somewhere."""
    hands.one.until(lambda: hands.one.text != before)
    hands.stop()
