"""Drawings as pictures in pixels (PNG, ISO/IEC 15948), by resvg, which is an extra (`sawbill[png]`)."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

FONTS: Final = Path(__file__).parent / "paper" / "data"
FACES: Final = (("normal", "DejaVuSansCondensed.ttf"), ("bold", "DejaVuSansCondensed-Bold.ttf"))
DPI: Final = 150
"""How fine a picture is [pixels an inch of paper]."""


_FILLING: Final = re.compile(r'width="100%" (viewBox="\S+ \S+ ([0-9.]+) ([0-9.]+)")')
"""How a drawing begins that is as wide as there is room; what it shows is counted in millimetres."""


class NoWriterError(Exception):
    """A form is asked for, and what writes it is not installed."""


def png(svg: str) -> bytes:
    """A drawing as PNG, black on white, in the font it was measured with. Raises NoWriterError."""
    try:
        from resvg_py import svg_to_bytes
    except ImportError:
        raise NoWriterError from None
    made: bytes = svg_to_bytes(
        svg_string=_FILLING.sub(_as_large, svg, count=1), background="white", dpi=DPI, skip_system_fonts=True,
        font_files=[str(FONTS / file) for _, file in FACES],
    )  # fmt: skip
    return made


def _as_large(found: re.Match[str]) -> str:
    """Make a drawing as large as what it shows."""
    return f'width="{found[2]}mm" height="{found[3]}mm" {found[1]}'
