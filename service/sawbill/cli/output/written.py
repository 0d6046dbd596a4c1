"""Answers written in the forms that the service has, and as text that fits a terminal."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, Final, NamedTuple

from sawbill.answer.columns import Json, Table, plain
from sawbill.answer.comparison import comparison_table, comparison_text
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.forms.text import quote_text, table_text
from sawbill.answer.tables import TABLES
from sawbill.answer.values import UnknownValueError, WrongUnitError, check_path, check_unit, value_of
from sawbill.cli.output.ending import misused
from sawbill.cli.output.fitting import layout_of, within
from sawbill.cli.output.forms import FORMS, Output
from sawbill.cli.output.headline import headline
from sawbill.trade.lengths import System
from sawbill.web.reckoning import writing
from sawbill.web.reckoning.writing import Look, Title

_SUFFIXES: Final = {form: suffix.removeprefix(".") for suffix, form in FORMS.items()}
"""The forms by the suffixes that the service has them under."""


class Page(NamedTuple):
    """What a page or a workbook shows beside a quote; pictures: of its furniture, as JSON."""

    title: Title
    pictures: bytes


def write_quote(output: Output, data: bytes, table: str | None, page: Page | None) -> None:
    """Write a quote, or one of its tables; page: where it is to be one."""
    if table is not None or output.form == "csv":
        write_table(output, TABLES[table or "costs"], json.loads(data))
    elif page is not None:
        output.write(writing.quote((), data, _look(output), *page))
    else:
        output.write(data if output.form == "json" else _text(json.loads(data), output))


def write_plan(output: Output, data: bytes, table: str | None) -> None:
    """Write a cutting plan, or one of its tables."""
    if table is not None or output.form in ("csv", "html"):
        write_table(output, TABLES[table or "costs"], json.loads(data))
    elif output.form == "xlsx":
        output.write(writing.plan((), data, _look(output)))
    else:
        output.write(data if output.form == "json" else _text(json.loads(data), output))


def write_proposal(output: Output, answer: Mapping[str, Any], units: System) -> None:
    """Write a proposal; units: whose paper a workbook is printed on."""
    data = json_bytes(answer)
    output.write(data if output.form == "json" else writing.proposal((), data, _look(output), units))


def write_table(output: Output, table: Table, answer: Json) -> None:
    """Write one table of an answer."""
    if output.form == "text":
        output.write(table_text(table, answer, layout_of(output.width)) + "\n")
    else:
        output.write(writing.table(table, answer, _look(output)))


def write_catalogue(output: Output, table: Table, answer: Mapping[str, Any], units: System) -> None:
    """Write a list of what there is to ask for; units: whose paper a workbook is printed on."""
    if output.form == "json":
        output.write(json_bytes(answer))
    else:
        write_table(output, table, {**answer, "units": units})


def write_value(output: Output, data: bytes, path: str, unit: str | None) -> None:
    """Write one value of a quote, and nothing else."""
    with _value_told():
        output.write(plain(value_of(json.loads(data), path, unit).cell) + "\n")


def check_value(path: str, unit: str | None) -> None:
    """See that a value could be one of a quote's, before that is reckoned."""
    with _value_told():
        check_path(path)
        check_unit(path, unit)


@contextmanager
def _value_told() -> Iterator[None]:
    """End the command where there is no such value."""
    try:
        yield
    except UnknownValueError as error:
        misused([f"--value: {error}"])
    except WrongUnitError as error:
        misused([f"--unit: {error}"])


def write_comparison(output: Output, answer: Json, units: System) -> None:
    """Write a comparison; units: whose paper a workbook is printed on."""
    if output.form == "text":
        output.write(within(comparison_text({**answer, "units": units}, layout_of(output.width)), output.width) + "\n")
    elif output.form == "json":
        output.write(json_bytes(answer))
    else:
        output.write(writing.table(comparison_table(answer), {**answer, "units": units}, _look(output)))


def _text(answer: Json, output: Output) -> str:
    told = f"{headline(dict(answer))}\n\n{quote_text(answer, layout_of(output.width))}"
    return within(told, output.width) + "\n"


def _look(output: Output) -> Look:
    return Look(_SUFFIXES[output.form], alone=True)
