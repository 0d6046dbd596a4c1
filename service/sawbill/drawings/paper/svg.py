"""SVG as text: a canvas in millimetres, with every look in the attributes of its elements.

A style sheet would be lost where a drawing is copied out of a page, and black bars would be left.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Final, Literal
from xml.sax.saxutils import escape, quoteattr

from sawbill.drawings.paper import lettering

Anchor = Literal["start", "middle", "end"]
Stroke = tuple[float, float, float, float]

THICK: Final = 0.35
THIN: Final = 0.18
"""Widths of lines (ISO 128-2: 0.18, 0.25, 0.35 …; thick to thin 2 to 1) [mm]."""
DASHED: Final = (12 * THIN, 3 * THIN)
"""Hidden edges: dash and gap of 12 and 3 widths (ISO 128-2)."""
CENTRE: Final = (24 * THIN, 3 * THIN, 0.5 * THIN, 3 * THIN)
"""Centre lines and ways: long dash, dot (ISO 128-2)."""


def number(value: float) -> str:
    """A length on paper, to a hundredth of a millimetre."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class Canvas:
    """What is drawn, in the order it is painted; x to the right and y down from the upper left corner [mm]."""

    def __init__(self, width: float, height: float, name: str, title: str, description: str) -> None:
        self.width, self.height = width, height
        self._name, self._title, self._description = name, title, description
        self._elements: list[str] = []

    def strokes(
        self, lines: Iterable[Stroke], width: float, *, dash: Sequence[float] = (), colour: str = "#000", kind: str = ""
    ) -> None:
        """Straight lines of one look, each (x1, y1, x2, y2); kind: what they are, for whoever reads the file."""
        path = "".join(f"M{number(a)} {number(b)}L{number(c)} {number(d)}" for a, b, c, d in lines)
        if path:
            dashes = f' stroke-dasharray="{" ".join(number(each) for each in dash)}"' if dash else ""
            label = f" class={quoteattr(kind)}" if kind else ""
            self._elements.append(
                f'<path{label} d="{path}" fill="none" stroke="{colour}" stroke-width="{number(width)}"{dashes} '
                'stroke-linecap="round" stroke-linejoin="round"/>'
            )

    def polygon(
        self, points: Iterable[tuple[float, float]], fill: str, *, line: float = 0.0, colour: str = "#000"
    ) -> None:
        """A filled shape, outlined if `line` is a width [mm]."""
        at = " ".join(f"{number(x)},{number(y)}" for x, y in points)
        stroke = f' stroke="{colour}" stroke-width="{number(line)}"' if line else ""
        self._elements.append(f'<polygon points="{at}" fill="{fill}"{stroke}/>')

    def curve(self, points: Sequence[tuple[float, float]], fill: str, *, line: float, colour: str) -> None:
        """A closed shape that rounds its corners: curves from the middle of each side to that of the next."""
        middles = [((a + c) / 2, (b + d) / 2) for (a, b), (c, d) in zip(points, (*points[1:], points[0]), strict=True)]
        path = f"M{number(middles[-1][0])} {number(middles[-1][1])}" + "".join(
            f"Q{number(x)} {number(y)} {number(u)} {number(v)}" for (x, y), (u, v) in zip(points, middles, strict=True)
        )
        self._elements.append(f'<path d="{path}Z" fill="{fill}" stroke="{colour}" stroke-width="{number(line)}"/>')

    @contextmanager
    def group(self, kind: str) -> Iterator[None]:
        """Keep together what is drawn meanwhile; kind: what it is, for whoever reads the file."""
        self._elements.append(f"<g class={quoteattr(kind)}>")
        yield
        self._elements.append("</g>")

    def rectangle(
        self, x: float, y: float, width: float, height: float, *, line: float = THIN, fill: str = "none", kind: str = ""
    ) -> None:
        """A rectangle from its upper left corner."""
        label = f" class={quoteattr(kind)}" if kind else ""
        stroke = f' stroke="#000" stroke-width="{number(line)}"' if line else ""
        self._elements.append(
            f'<rect{label} x="{number(x)}" y="{number(y)}" width="{number(width)}" height="{number(height)}" '
            f'fill="{fill}"{stroke}/>'
        )

    def circle(
        self, x: float, y: float, radius: float, *, line: float = THIN, fill: str = "none", kind: str = ""
    ) -> None:
        """A circle, or a dot without a line."""
        label = f" class={quoteattr(kind)}" if kind else ""
        stroke = f' stroke="#000" stroke-width="{number(line)}"' if line else ""
        self._elements.append(
            f'<circle{label} cx="{number(x)}" cy="{number(y)}" r="{number(radius)}" fill="{fill}"{stroke}/>'
        )

    def text(
        self, x: float, y: float, text: str, height: float = lettering.SMALL,
        *, anchor: Anchor = "start", bold: bool = False, turned: bool = False, kind: str = "",
    ) -> None:  # fmt: skip
        """A text on a line that begins, is centred or ends at a point; turned: read from the right."""
        if not text:
            return
        weight = ' font-weight="bold"' if bold else ""
        turn = f' transform="rotate(-90 {number(x)} {number(y)})"' if turned else ""
        where = "" if anchor == "start" else f' text-anchor="{anchor}"'
        label = f" class={quoteattr(kind)}" if kind else ""
        wide = number(lettering.width(text, height, bold=bold))
        self._elements.append(
            f'<text{label} x="{number(x)}" y="{number(y)}" font-size="{number(lettering.size(height))}"{weight}{where}'
            f'{turn} textLength="{wide}" lengthAdjust="spacingAndGlyphs">{escape(text)}</text>'
        )

    def svg(self) -> str:
        """The whole drawing; its title and description are read to those who cannot see it."""
        w, h = number(self.width), number(self.height)
        body = "\n".join(self._elements)
        ids = f"{self._name}-title {self._name}-description"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}" role="img" '
            f'aria-labelledby="{ids}" font-family="{lettering.FAMILY}" fill="#000">\n'
            f'<title id="{self._name}-title">{escape(self._title)}</title>\n'
            f'<desc id="{self._name}-description">{escape(self._description)}</desc>\n'
            f'<rect width="{w}" height="{h}" fill="#fff"/>\n{body}\n</svg>\n'
        )
