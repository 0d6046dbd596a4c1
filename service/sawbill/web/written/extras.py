"""What is written by libraries that are extras: PDF by WeasyPrint (`sawbill[pdf]`), PNG by resvg (`sawbill[png]`)."""

from __future__ import annotations

import base64
import re
from pathlib import Path
from typing import Final

from sawbill import drawings

FONTS: Final = Path(drawings.__file__).parent / "paper" / "data"
FACES: Final = (("normal", "DejaVuSansCondensed.ttf"), ("bold", "DejaVuSansCondensed-Bold.ttf"))
FAMILY: Final = "Sawbill Sheet"
DPI: Final = 150
"""How fine a PNG is [pixels an inch of paper]."""
_DRAWING: Final = re.compile(r"<svg .*?</svg>", re.DOTALL)
_MEASURED: Final = re.compile(r' textLength="[^"]*" lengthAdjust="[^"]*"')
_TITLE: Final = re.compile(r"<title[^>]*>(.*?)</title>")


class NoWriterError(Exception):
    """A form is asked for, and what writes it is not installed."""


def pdf(html: str) -> bytes:
    """The document as PDF, the same bytes each time. Raises NoWriterError."""
    try:
        from weasyprint import HTML
        from weasyprint.text.fonts import FontConfiguration
    except (ImportError, OSError):  # OSError: Pango, which it draws text with, is not there
        raise NoWriterError from None
    fonts = FontConfiguration()
    told = _DRAWING.sub(_as_image, html.replace("<style>", f"<style>{_faces()}", 1))
    made: bytes = HTML(string=told).write_pdf(font_config=fonts)
    return made


def _as_image(found: re.Match[str]) -> str:
    """A drawing as an image of its own, which takes its writer two thirds of the time.

    Texts are set in the font they were measured with, and need no lengths.
    """
    svg = _MEASURED.sub("", found[0])
    title = _TITLE.search(svg)
    data = base64.b64encode(svg.encode()).decode()
    return f'<img alt="{title[1] if title else ""}" src="data:image/svg+xml;base64,{data}">'


def png(svg: str) -> bytes:
    """A drawing as PNG, black on white, in the font it was measured with. Raises NoWriterError."""
    try:
        from resvg_py import svg_to_bytes
    except ImportError:
        raise NoWriterError from None
    made: bytes = svg_to_bytes(
        svg_string=svg, background="white", dpi=DPI, skip_system_fonts=True,
        font_files=[str(FONTS / file) for _, file in FACES],
    )  # fmt: skip
    return made


def _faces() -> str:
    """The font that is shipped, so that every machine sets the same pages."""
    return "".join(
        f'@font-face {{ font-family: "{family}"; font-weight: {weight}; src: url("{(FONTS / file).as_uri()}"); }}\n'
        for family in (FAMILY, "DejaVu Sans Condensed")
        for weight, file in FACES
    )
