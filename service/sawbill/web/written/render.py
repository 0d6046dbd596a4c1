"""Pages written from their templates; where no request is at hand too, as in an engine."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from sawbill.answer.quote import ENGINE
from sawbill.answer.told import span
from sawbill.trade.lengths import System
from sawbill.trade.measures import told

PAGES: Final = Path(__file__).resolve().parent.parent / "pages"
_TEMPLATES: Final = Environment(
    loader=FileSystemLoader(PAGES),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
    auto_reload=False,
)
_TEMPLATES.globals["version"] = ENGINE
"""Style and script are kept by browsers for a while: those of another version have another address."""


def _measured(number: float, unit: str, units: System) -> str:
    """A number of a unit in the words of a reader."""
    return told(Decimal(str(number)), unit, units)


_TEMPLATES.filters["measured"] = _measured
_TEMPLATES.filters["span"] = span


def page(template: str, *, alone: bool = False, **content: Any) -> str:
    """Write a page; all that is put into it is escaped.

    alone: whether it is a file by itself, which has its style in it and leads nowhere.
    """
    own = (PAGES / "style.css").read_text() if alone else ""
    return _TEMPLATES.get_template(template).render(content, own_style=own)
