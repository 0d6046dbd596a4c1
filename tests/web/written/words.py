"""The words of all pages, as a template for the catalogue of another language.

.venv/bin/python -m tests.web.written.words pages.pot
"""

import re
import sys
from collections.abc import Iterator
from itertools import chain
from pathlib import Path

from babel.messages import Catalog, extract, pofile

import sawbill.web
from sawbill.answer.catalogues import CATALOGUES
from sawbill.answer.drift import WHY
from sawbill.answer.kept_tables import KEPT
from sawbill.answer.tables import TABLES
from sawbill.answer.told import READ, for_reader
from sawbill.asked.request import PRICE_BOOK, UNITS
from sawbill.checks.finding import Status
from sawbill.quoting.comparing.judging import CRITERIA
from sawbill.quoting.proposing.measures import MEASURES, NEW_WARNINGS, TOOLS
from sawbill.registry import designs
from sawbill.trade.declaring.headings import Headed
from sawbill.trade.frame import SEEN_FROM_THE_FOOT, SEEN_FROM_THE_FRONT
from sawbill.trade.mattresses import mattress_sizes
from sawbill.web.http.languages import ENGLISH
from sawbill.web.http.problems import KINDS
from sawbill.web.schemas.tabled import tables_json, values_json
from sawbill.web.work.working import COMPARISON, PROPOSAL
from sawbill.web.written.asking.questions import BESIDE, OF_PIECES
from sawbill.web.written.render import PAGES, templates

WEB = Path(sawbill.web.__file__).parent
TOTALS = ("lumber", "hardware", "supplies", "trips", "tax", "total", "used", "contingency", "budget")
SELLING = ("materials-times-factor", "materials-and-labour", "cost-plus-markup", "cost-and-margin")


def catalogue() -> Catalog:
    """Every message of the pages, with where it stands."""
    made = Catalog(project="Sawbill", charset="utf-8")
    for message, place in chain(of_templates(), of_modules(), of_declarations()):
        if re.search(r"[^\W\d_]", message if isinstance(message, str) else message[0]):
            made.add(message, locations=[(place, None)])
    return made


def of_templates() -> Iterator[tuple[str | tuple[str, ...], str]]:
    """What the templates say themselves."""
    for file in sorted(PAGES.rglob("*.html")):
        for _, _, message in templates(ENGLISH).extract_translations(file.read_text()):  # type: ignore[attr-defined]
            said = tuple(filter(None, [message] if isinstance(message, str) else message))  # values of it are None
            yield said if len(said) > 1 else said[0], f"pages/{file.relative_to(PAGES)}"


def of_modules() -> Iterator[tuple[str, str]]:
    """What modules mark as a message."""
    found = extract.extract_from_dir(WEB, method_map=[("**.py", "python")], keywords={"message": None})
    for place, _, message, _, _ in found:
        yield message, place


def of_declarations() -> Iterator[tuple[str, str]]:
    """What is declared once, and shown by pages as it is."""
    for design in designs().values():
        said = [design.title, design.summary, *chain(*map(_headed, design.options))]
        yield from ((text, f"design {design.name}") for text in said)
    yield from ((text, "forms") for each in (*BESIDE, *OF_PIECES, UNITS, PRICE_BOOK) for text in _headed(each))
    yield from ((text, "forms") for text in ("yes", "no", "inch", "metric"))
    yield from ((text, "mattresses") for size in mattress_sizes().values() for text in (size.title, size.market))
    yield from ((text, "problems") for kind in KINDS.values() for text in (kind.title, kind.remedy))
    yield from ((text, "tables") for text in _of_tables())
    yield from ((text, "what became of a quote") for text in WHY.values())
    yield from ((text, "a word of an answer") for text in _of_answers())


def _headed(each: Headed) -> Iterator[str]:
    yield from (each.heading.title, each.heading.note.capitalize(), each.label, each.help)
    kind = getattr(each, "kind", None)
    for declared in (each, kind, getattr(kind, "inner", None)):
        words = [str(word) for name in ("choices", "words") for word in getattr(declared, name, ())]
        yield from (form for word in words for form in (word, word.replace("_", " ")))


def _of_tables() -> Iterator[str]:
    told = (*TABLES.values(), *READ, *CATALOGUES.values(), *KEPT.values())
    shown = [for_reader(table, units) for table in told for units in ("inch", "metric")]
    for table in shown:
        yield from (table.title, table.meaning, *(column.title.capitalize() for column in table.columns))
    yield from _meanings([tables_json(), values_json()])


def _meanings(found: object) -> Iterator[str]:
    for value in found if isinstance(found, list) else found.values() if isinstance(found, dict) else ():
        yield from _meanings(value)
    if isinstance(found, dict) and "meaning" in found:
        yield found["meaning"]


def _of_answers() -> Iterator[str]:
    """Words of few values."""
    yield from (status.replace("_", " ") for status in Status)
    yield from (name.replace("_", " ") for name in (*CRITERIA, *MEASURES, TOOLS, NEW_WARNINGS))
    for sides in (SEEN_FROM_THE_FRONT, SEEN_FROM_THE_FOOT):
        yield from (*sides.x, *sides.y, sides.seen_from)
    yield from ("Trip", "Delivery", "waiting", "running", "done", "failed")
    yield from (kind.capitalize() for kind in (COMPARISON, PROPOSAL, "quote"))
    yield from (name.capitalize() for name in TOTALS)
    yield from (name.replace("-", " ") for name in SELLING)


if __name__ == "__main__":
    with Path(sys.argv[1]).open("wb") as file:
        pofile.write_po(file, catalogue(), sort_output=True, include_lineno=False)
