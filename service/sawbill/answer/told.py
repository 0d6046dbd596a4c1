"""Tables as people read them, where that is not as programs do.

Where a rule is from stands once, in a list, and each check has its number there. A step is told in one text.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Final

from sawbill.answer import columns as c
from sawbill.answer.columns import Column, Json, Table
from sawbill.answer.declared.quoted.checks import Check
from sawbill.answer.declared.quoted.cuts import CutLine
from sawbill.answer.declared.quoted.making import Step
from sawbill.answer.declared.quoted.purchase import Supply
from sawbill.answer.records import Reader, labelled
from sawbill.answer.tables import ALL, TABLES
from sawbill.trade.lengths import System
from sawbill.trade.measures import converted, told

HOURS_FROM: Final = 240
"""From what time on hours are told in place of minutes [min]."""
_CHECKS: Final = TABLES["checks"]


def for_reader(table: Table, units: System) -> Table:
    """A table in the units of a reader: where they are inches, other measures are not metric."""
    return replace(table, columns=tuple(_in_units(column, units) for column in table.columns))


def _in_units(column: Column, units: System) -> Column:
    unit = converted(Decimal(0), column.unit, units)[1]
    if unit == column.unit:
        return column

    def read(row: Json) -> Decimal | None:
        found = column.read(row)
        return None if found is None else round(converted(Decimal(str(found)), column.unit, units)[0], 1)

    name = column.name.removesuffix(f"_{column.unit}")
    return replace(column, name=f"{name}_{unit.replace(' ', '_')}", kind="number", read=read, unit=unit)


def numbered(answer: Json) -> dict[str, int]:
    """The sources of the checks in the order of their first use, from 1."""
    found = dict.fromkeys(check["source"] for check in answer.get("checks", ()))
    return {source: number for number, source in enumerate(found, 1)}


def _checks(answer: Json) -> Iterator[Json]:
    numbers = numbered(answer)
    for row in labelled("checks")(answer):
        clause = f" {row['clause']}" if row["clause"] else ""
        yield {**row, "source": f"[{numbers[row['source']]}]{clause}"}


def _sources(answer: Json) -> Iterator[Json]:
    for source, number in numbered(answer).items():
        yield {"number": f"[{number}]", "source": source}


CHECKS: Final = Table(
    _CHECKS.name, _CHECKS.title, _CHECKS.meaning,
    c.columns(
        *((column,) for column in _CHECKS.columns if column.name not in ("source", "clause")),
        c.text("source", "Its number in the list of sources, and the clause.", "[3] 4.3"),
    ), _checks,
)  # fmt: skip
SOURCES: Final = Table(
    "sources", "Sources of the checks", "Where the rules of the checks are from.",
    c.columns(c.text("number", "Its number.", "[3]"), c.of(Check.source)), _sources,
)  # fmt: skip
_STEPS: Final = TABLES["steps"]


def _steps(answer: Json) -> Iterator[Json]:
    for row in _STEPS.records(answer):
        at_work, waiting = (span(row[name]) for name in ("hands_on_minutes", "waiting_minutes"))
        told = "\n".join([row["text"], *row["cautions"]])
        yield {**row, "at_work": at_work, "waiting": waiting, "text": told}


def span(minutes: Json) -> str:
    """A time from least to most, in minutes or, where it is long, in hours; empty for none."""
    least, most = minutes["least"], minutes["most"]
    if not most:
        return ""
    unit, ends = ("h", (least / 60, most / 60)) if most >= HOURS_FROM else ("min", (least, most))
    told = [f"{end:.1f}" if unit == "h" else str(end) for end in ends]
    return f"{' to '.join(dict.fromkeys(told))} {unit}"


STEPS: Final = Table(
    _STEPS.name, _STEPS.title, _STEPS.meaning,
    c.columns(
        c.of(Step.number), c.text("step", "What is done.", "Drill", lambda row: row["title"]), c.of(CutLine.label),
        c.of(Step.people),
        c.text("at_work", "The time at work.", "16 to 45 min"),
        c.text("waiting", "The time to wait.", "24.0 to 35.0 h"),
        c.text("text", "What to do, in order, and what to take care of.", "Square one end of each board."),
    ), _steps,
)  # fmt: skip
_SUPPLIES: Final = TABLES["supplies"]


def _supplies(answer: Json) -> Iterator[Json]:
    units = answer.get("units", "metric")
    for row in _SUPPLIES.records(answer):
        amounts = {name: told(Decimal(str(row[name])), row["unit"], units) for name in _AMOUNTS}
        yield {**row, **{name: text if row[name] else "" for name, text in amounts.items()}}


_AMOUNTS: Final = ("quantity", "owned", "left_over")
SUPPLIES: Final = Table(
    _SUPPLIES.name, _SUPPLIES.title, _SUPPLIES.meaning,
    c.columns(
        *(c.text(each.name, each.meaning, "3.5 fl oz") if each.name in _AMOUNTS else (each,)
          for each in _SUPPLIES.columns if each.name != Supply.unit.key),
    ), _supplies,
)  # fmt: skip

_INSTEAD: Final = {"checks": (CHECKS, SOURCES), "supplies": (SUPPLIES,)}
READ: Final[Sequence[Table]] = tuple(each for table in ALL for each in _INSTEAD.get(table.name, (table,)))
"""The tables of a whole quote in their order, as people read them."""


def by_line(table: Table, answer: Json) -> list[Table]:
    """A table of all lines as one for each of several lines that has rows, named by the line."""
    lines = answer.get("lines", ())
    if len(lines) < 2:
        return [table]
    found = [(line, [row for row in table.records(answer) if row["line"] == line["line"]]) for line in lines]
    return [
        Table(table.name, f"{line['label']}: {table.title[:1].lower()}{table.title[1:]}", table.meaning,
              table.columns, _rows(rows))
        for line, rows in found if rows
    ]  # fmt: skip


def cuts_by_line(answer: Json) -> list[Table]:
    """What each line of several has to cut, and its share of what is spent; none where there is one line."""
    lines, shares = answer.get("lines", ()), {share["line"]: share for share in answer.get("shares", ())}
    if len(lines) < 2:
        return []
    cut = {line["line"]: [row for row in answer["cut_list"] if row["line"] == line["line"]] for line in lines}
    titles = {line["line"]: _headed(line, shares, answer) for line in lines}
    return [Table(f"line-{n}", titles[n], _CUTS.meaning, _CUTS.columns, _rows(rows)) for n, rows in cut.items() if rows]


_CUTS: Final = TABLES["cut-list"]


def _rows(rows: Sequence[Json]) -> Reader:
    return lambda _: rows


def _headed(line: Json, shares: Mapping[int, Json], answer: Json) -> str:
    """Name a line, how many it is of, and what it bears."""
    number, currency = line["quantity"], answer["price_book"]["currency"]
    many = f", {number} of it" if number > 1 else ""
    share = shares.get(line["line"])
    if share is None:
        return f"{line['label']}{many}"
    each = f", {share['each']} each" if number > 1 else ""
    return f"{line['label']}{many}: its share is {currency} {share['total']}{each}"
