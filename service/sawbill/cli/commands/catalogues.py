"""The commands that list what there is to ask for: designs and their options, lumber, mattresses, fasteners."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, Final

import click

from sawbill.cli.options.books import SAMPLE, prices_option
from sawbill.cli.options.groups import Command, joined
from sawbill.cli.options.words import DesignName, units_option
from sawbill.cli.output.forms import output_of, output_options

_FORM: Final = output_options("the table")


@click.command(cls=Command, params=_FORM)
def designs(**words: Any) -> None:
    """List the designs: the name by which each is asked for, and what it is."""
    from sawbill.answer.declared.designs import designs_json
    from sawbill.cli.requests import designs as offered

    _list("designs", words, lambda _: designs_json(offered.designs().values()))


@click.command(
    cls=Command,
    params=joined(
        [click.Argument(["design"], type=DesignName())],
        [prices_option(default=SAMPLE, show_default=True, help="The price book whose usual sections are shown.")],
        [units_option()],
        _FORM,
    ),
)
def options(design: str, prices: str, **words: Any) -> None:
    """List the options of a DESIGN: what each is, its least, most and default, and the words it may take.

    An option is set by `--set NAME=VALUE` in a quote, a drawing or a comparison.
    """
    from sawbill.answer.declared.designs import design_json
    from sawbill.asked.offered import no_such_design
    from sawbill.cli.output.ending import misused
    from sawbill.cli.output.tables import OPTIONS
    from sawbill.cli.output.written import write_catalogue
    from sawbill.cli.requests import designs as offered
    from sawbill.cli.requests.books import read_book

    output, known = output_of(words), offered.designs()
    if design not in known:
        misused([no_such_design(design, known)])
    book = read_book(prices)
    units = words["units"] or book.units
    write_catalogue(output, OPTIONS, design_json(known[design], book, units), units)


@click.command(cls=Command, params=joined([units_option()], _FORM))
def lumber(**words: Any) -> None:
    """List the sections, species and grades of lumber that designs and price books may name."""
    from sawbill.answer.declared.trade import Lumber

    _list("lumber", words, partial(_written, Lumber))


@click.command(cls=Command, params=joined([units_option()], _FORM))
def mattresses(**words: Any) -> None:
    """List the sizes of mattresses, by market."""
    from sawbill.answer.declared.trade import MattressList

    _list("mattresses", words, partial(_written, MattressList))


@click.command(cls=Command, params=joined([units_option()], _FORM))
def fasteners(**words: Any) -> None:
    """List the bolts, screws and hangers, and what a price book may list as hardware."""
    from sawbill.answer.declared.trade import Fasteners

    _list("fasteners", words, partial(_written, Fasteners))


def _written(of: Any, units: Any) -> Any:
    """A table of the trade as JSON, by the units; None: each row in its own."""
    from sawbill.answer.declared.trade import FineWriting

    return of.written(None, FineWriting.of(units))


def _list(name: str, words: dict[str, Any], give: Callable[[Any], Any]) -> None:
    """Write a catalogue of the service; give: its JSON, by the units."""
    from sawbill.answer.catalogues import CATALOGUES
    from sawbill.cli.output.written import write_catalogue

    units = words.get("units")
    write_catalogue(output_of(words), CATALOGUES[name], give(units), units or "metric")
