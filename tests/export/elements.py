"""A page as its elements and words, for the tests."""

from __future__ import annotations

from html.parser import HTMLParser


class Elements(HTMLParser):
    """Every element with its attributes and the text in it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.struck: list[str] = []
        self._inside: list[str] = []
        self.feed(text)
        assert self._inside == [], "every element is closed"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag not in ("meta", "path", "br", "circle"):
            self._inside.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in ("path", "circle"):
            assert self._inside.pop() == tag

    def handle_data(self, data: str) -> None:
        if self._inside[-1:] != ["style"]:
            self.words.append(data)
        if "s" in self._inside:
            self.struck.append(data)
