"""Documents as PDF, by WeasyPrint, which is an extra (`sawbill[pdf]`)."""

from __future__ import annotations

import base64
import re
from typing import Final

from sawbill.drawings.pixels import FACES, FONTS, NoWriterError

FAMILY: Final = "Sawbill Sheet"
_DRAWING: Final = re.compile(r"<svg .*?</svg>", re.DOTALL)
_MEASURED: Final = re.compile(r' textLength="[^"]*" lengthAdjust="[^"]*"')
_TITLE: Final = re.compile(r"<title[^>]*>(.*?)</title>")


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


def _faces() -> str:
    """The font that is shipped, so that every machine sets the same pages."""
    return "".join(
        f'@font-face {{ font-family: "{family}"; font-weight: {weight}; src: url("{(FONTS / file).as_uri()}"); }}\n'
        for family in (FAMILY, "DejaVu Sans Condensed")
        for weight, file in FACES
    )
