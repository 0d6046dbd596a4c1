"""The guide: pages written as Markdown in `web/guide`, laid out for the service to send.

`index.md` lists the pages; their order there is the order to read them in. Links between pages name the files, as in
`[prices](prices.md#lumber)`, so that they lead on wherever the files are read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import Final

from markdown_it import MarkdownIt
from markdown_it.token import Token

FOLDER: Final = Path(__file__).resolve().parent.parent / "guide"
PICTURES: Final = FOLDER / "pictures"
INDEX: Final = "index"
"""The page that lists the others."""
_ADDRESS: Final = "/guide"
_TITLE: Final = 3
"""How many tokens the heading of a page takes, with which it begins."""
_LINK: Final = re.compile(r"([a-z-]+)\.md(#[\w-]+)?")
_PICTURE: Final = re.compile(r"pictures/([a-z-]+\.svg)")


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of a page that can be linked to; level: 1 of the page's own."""

    level: int
    anchor: str
    text: str


@dataclass(frozen=True, slots=True)
class Page:
    """A page; source: its Markdown; body: as HTML, every picture in it."""

    name: str
    source: str
    headings: Sequence[Heading]
    body: str
    """What follows the heading of the whole page."""

    @property
    def title(self) -> str:
        """The heading of the whole page."""
        return self.headings[0].text

    @property
    def address(self) -> str:
        """Where the service sends it."""
        return _ADDRESS if self.name == INDEX else f"{_ADDRESS}/{self.name}"


@cache
def pages() -> Mapping[str, Page]:
    """Give every page by name, in the order to read them in."""
    index = (FOLDER / f"{INDEX}.md").read_text(encoding="utf-8")
    names = dict.fromkeys((INDEX, *(name for name, _ in _LINK.findall(index))))
    return MappingProxyType({name: _page(name) for name in names})


def neighbours(name: str) -> tuple[Page | None, Page | None]:
    """Give the pages before and after a page."""
    found = [*pages().values()]
    place = [*pages()].index(name)
    return (found[place - 1] if place else None), (found[place + 1] if place + 1 < len(found) else None)


def _page(name: str) -> Page:
    """Lay one page out."""
    source = (FOLDER / f"{name}.md").read_text(encoding="utf-8")
    writer = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = writer.parse(source)
    headings = [*_headings(tokens)]
    for token in (each for block in tokens for each in block.children or ()):
        if token.type == "link_open":
            token.attrSet("href", _LINK.sub(_at_service, str(token.attrGet("href"))))
        if token.type == "image":
            _draw(token)
    for token in tokens:
        if token.type in ("fence", "code_block"):
            token.attrSet("tabindex", "0")  # it scrolls, by keyboard too
    return Page(name, source, headings, str(writer.renderer.render(tokens[_TITLE:], writer.options, {})))


def _headings(tokens: Sequence[Token]) -> Iterator[Heading]:
    """Give the headings, and each of them an anchor, and what lies under another a link to itself."""
    taken: set[str] = set()
    for opening, inline in pairwise(tokens):
        if opening.type != "heading_open":
            continue
        anchor = re.sub(r"[^a-z0-9]+", "-", inline.content.lower()).strip("-")
        if anchor in taken:
            raise ValueError(f"two headings of one page have the anchor {anchor}; word one of them differently")
        taken.add(anchor)
        opening.attrSet("id", anchor)
        level = int(opening.tag[1])
        if level > 1:
            link = Token("link_open", "a", 1, attrs={"href": f"#{anchor}", "class": "anchor", "aria-label": "Link"})
            inline.children = [*(inline.children or ()), link, _text("#"), Token("link_close", "a", -1)]
        yield Heading(level, anchor, inline.content.replace("`", ""))


def _text(content: str) -> Token:
    return Token("text", "", 0, content=content)


def _at_service(link: re.Match[str]) -> str:
    name, anchor = link[1], link[2] or ""
    return f"{_ADDRESS}{'' if name == INDEX else f'/{name}'}{anchor}"


def _draw(image: Token) -> None:
    """Put a picture into the page, which may load none."""
    found = _PICTURE.fullmatch(str(image.attrGet("src")))
    if found is None:
        raise ValueError(f"a picture of the guide is a file of pictures/, not {image.attrGet('src')}")
    image.type, image.children = "html_inline", None
    image.content = (PICTURES / found[1]).read_text(encoding="utf-8")


def contents(page: Page) -> list[Heading]:
    """Give the headings of a page's parts, where it has several."""
    parts = [heading for heading in page.headings if heading.level == 2]
    return parts if len(parts) > 2 else []
