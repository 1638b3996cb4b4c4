"""A page read as a browser reads it: tags, and the text that is shown."""

from __future__ import annotations

from html.parser import HTMLParser


class Reader(HTMLParser):
    """Tags that were opened, with their attributes, and the text between them; every tag must be closed."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.open: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "img", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open[-1:] not in (["style"], ["script"]):
            self.texts.append(data)

    @property
    def text(self) -> str:
        return "".join(self.texts)
