"""A few quotes side by side, as a page: each by the address of its own, with bars for what they are compared by."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final
from urllib.parse import parse_qsl, urlencode, urlsplit

from sawbill.answer.columns import Json
from sawbill.answer.told import span
from sawbill.asked.faults import RequestFault
from sawbill.prices.rows.faults import shown
from sawbill.trade.design import Design
from sawbill.trade.lengths import System
from sawbill.trade.measures import told
from sawbill.web.http.languages import message
from sawbill.web.http.queries import FOR_ALL, VARIANT, of_quote, unknown

MOST: Final = 6
"""How many quotes a page shows beside each other."""
_PATH: Final = ("v1", "designs")


@dataclass(frozen=True, slots=True)
class Variant:
    """One of the quotes: its design, and what is asked of it."""

    design: Design
    asked: Mapping[str, str]

    @property
    def page(self) -> str:
        """Where the page of it is."""
        return f"/v1/designs/{self.design.name}/quote.html?{urlencode(self.asked)}"

    @property
    def options(self) -> dict[str, str]:
        """What is asked of the design itself."""
        names = {option.name for option in self.design.options}
        return {name: text for name, text in self.asked.items() if name in names}


@dataclass(frozen=True, slots=True)
class Measure:
    """What quotes are compared by, with a bar: the value of each row, and how it is said; most: of all values.

    least: of all rows in the currency of each, whether they hold or not.
    """

    name: str
    title: str
    values: Sequence[float]
    texts: Sequence[str]
    least: Sequence[float]

    @property
    def most(self) -> float:
        """The greatest of all values."""
        return max(self.values, default=0.0)


def variant(
    place: int, address: str, designs: Mapping[str, Design], prefix: str = ""
) -> Variant | list[RequestFault]:  # fmt: skip
    """Read the address of a quote, as a browser shows it or as a page links to it; place: of its field.

    prefix: what browsers show the service under.
    """
    try:
        parts = urlsplit(address.strip())
        asked = dict(parse_qsl(parts.query))
        repeated = len(asked) < len(parse_qsl(parts.query))
    except ValueError:
        parts, asked, repeated = urlsplit(""), {}, False
    steps = parts.path.removeprefix(prefix).strip("/").split("/")
    if tuple(steps[:2]) == _PATH and len(steps) == 4 and steps[3].partition(".")[0] == "quote" and steps[2] in designs:
        design = designs[steps[2]]
        wrong = [f"quote {place}: {fault.detail}" for fault in unknown(asked, of_quote(design))]
        wrong += [f"quote {place} says something twice; say it once"] if repeated else []
        return [RequestFault((VARIANT,), "unknown-parameter", told) for told in wrong] or Variant(design, asked)
    detail = f'quote {place} is "{shown(address)}"; it may be the address of the page of a quote of a design'
    return [RequestFault((VARIANT,), "not-a-quote", detail)]


def labels(variants: Sequence[Variant]) -> list[str]:
    """What each is called: by its design, and by its options where another is called the same."""
    titles = [each.design.title for each in variants]
    called = [
        title if titles.count(title) == 1 else ", ".join([title, *_told_apart(each, variants)])
        for title, each in zip(titles, variants, strict=True)
    ]
    return [text if called.count(text) == 1 else f"{text} ({place})" for place, text in enumerate(called, 1)]


def _told_apart(one: Variant, variants: Sequence[Variant]) -> list[str]:
    """Those of its options that not all of the same design have alike."""
    alike = [each.options for each in variants if each.design.name == one.design.name]
    return [
        f"{name.replace('_', ' ')} {text}" for name, text in one.options.items()
        if any(other.get(name) != text for other in alike)
    ]  # fmt: skip


def measures(rows: Sequence[Json], units: System) -> list[Measure]:
    """What rows are compared by with bars; units: those of the reader. A row without a quote has no bar."""

    def measure(name: str, title: str, value: Callable[[Json], float], text: Callable[[Json], str]) -> Measure:
        quoted = {row["row"]: row for row in rows if row["status"] == "quoted"}
        places = range(max(quoted, default=-1) + 1)
        values = [value(quoted[place]) if place in quoted else 0.0 for place in places]
        texts = [text(quoted[place]) if place in quoted else "" for place in places]
        like = {row["currency"]: [value(each) for each in quoted.values() if each["currency"] == row["currency"]]
                for row in quoted.values()}  # fmt: skip
        least = [min(like[quoted[place]["currency"]]) if place in quoted else 0.0 for place in places]
        return Measure(name, title, values, texts, least)

    def cost(row: Json) -> str:
        return f"{row['currency']} {row['total']}"

    def mass(row: Json) -> str:
        return told(Decimal(str(row["mass_kg"])), "kg", units)

    def at_work(row: Json) -> str:
        return span(row["hands_on_minutes"])

    return [
        measure("total", message("Cost"), lambda row: float(row["total"]), cost),
        measure("mass", message("Mass of one"), lambda row: row["mass_kg"], mass),
        measure("waste", message("Wood wasted"), lambda row: row["waste"], lambda row: f"{100 * row['waste']:.1f} %"),
        measure("hands_on", message("Time at work"), lambda row: row["hands_on_minutes"]["most"], at_work),
    ]


def for_all(variants: Sequence[Variant], common: Mapping[str, str]) -> dict[str, str]:
    """What holds for all of them beside their options: what the first asks for, changed by what is asked in common."""
    first = {name: text for name, text in variants[0].asked.items() if name in FOR_ALL} if variants else {}
    return {name: text for name, text in {**first, **common}.items() if text}


def with_names(
    rows: Sequence[Json], variants: Sequence[Variant], given: Mapping[str, str]
) -> list[dict[str, Any]]:  # fmt: skip
    """Rows with the page of each as it is compared, and by what it is beaten, by its name; given: as of `for_all`."""
    by_number = {row["row"]: row["label"] for row in rows}
    pages = [replace(each, asked={**each.options, **given}).page for each in variants]
    return [{**row, "page": pages[row["row"]], "beaten_by": by_number.get(row["dominated_by"])} for row in rows]


def methods(rows: Sequence[Json]) -> list[str]:
    """The ways that selling prices of the rows are made by."""
    return list(dict.fromkeys(each["method"] for row in rows for each in row.get("selling_prices") or ()))
