"""Pages written from their templates; where no request is at hand too, as in an engine."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any, Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from sawbill.answer.quote import ENGINE
from sawbill.answer.told import span
from sawbill.trade.lengths import System
from sawbill.trade.measures import told
from sawbill.web.http import languages

PAGES: Final = Path(__file__).resolve().parent.parent / "pages"


@cache
def templates(language: str) -> Environment:
    """All templates in one language: what they say of themselves by gettext, what is declared by `translated`."""
    made = Environment(
        loader=FileSystemLoader(PAGES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        extensions=["jinja2.ext.i18n"],
    )
    words = languages.catalogue(language)
    made.policies["ext.i18n.trimmed"] = True
    made.install_gettext_translations(words, newstyle=True)  # type: ignore[attr-defined]  # by the extension
    made.globals["language"] = language
    made.globals["version"] = ENGINE  # of style and script, which browsers keep for a while
    made.filters["measured"] = _measured
    made.filters["span"] = span
    made.filters["translated"] = lambda text: words.gettext(text) if text else ""
    return made


def _measured(number: float, unit: str, units: System) -> str:
    """A number of a unit in the words of a reader."""
    return told(Decimal(str(number)), unit, units)


def page(template: str, language: str, *, alone: bool = False, **content: Any) -> str:
    """Write a page in a language; all that is put into it is escaped.

    alone: whether it is a file by itself, which has its style in it and leads nowhere.
    """
    own = (PAGES / "style.css").read_text() if alone else ""
    return templates(language).get_template(template).render(content, own_style=own)


def for_reader(template: str, **content: Any) -> str:
    """Write a page for whoever sent the request at hand, in the language he accepts best."""
    return page(template, languages.accepted(), **content)
