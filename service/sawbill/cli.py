"""The `sawbill` command: serve, quote, plan, check-prices, and those of `sawbill.cli_store`.

Exit codes: 0 done; 1 the answer is no (a faulty price book, an order that cannot be bought); 2 a faulty request.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, Final, NoReturn

import click

import sawbill
from sawbill.estimating.boards import NothingFitsError
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.quote import Quote, make_quote
from sawbill.estimating.request import Request, RequestFaultsError, read_request
from sawbill.files.faults import BookFaultsError
from sawbill.files.folder import read_folder
from sawbill.files.pieces import read_pieces_file
from sawbill.files.shelf import Shelf, UnknownBookError, sample_folder
from sawbill.registry import BadDesignError, designs
from sawbill.web.schemas.quote import plan_json, quote_json

NO: Final = 1
"""Exit code when the answer is no."""

_prices = click.option(
    "--prices",
    default="sample-inch",
    show_default=True,
    metavar="BOOK",
    help="A price book: its folder, or the name of a sample.",
)
_units = click.option(
    "--units", type=click.Choice(["inch", "metric"]), help="How lengths are printed; the book's own unless given."
)
_form = click.option("--format", "form", type=click.Choice(["table", "json"]), default="table", show_default=True)


class Commands(click.Group):
    """The commands; those of the store are imported when they are asked for, for that takes half a second."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """List the commands by name."""
        return sorted([*super().list_commands(ctx), *_store_commands()])

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Find a command by name."""
        return super().get_command(ctx, cmd_name) or _store_commands().get(cmd_name)


def _store_commands() -> dict[str, click.Command]:
    from sawbill.cli_store import COMMANDS

    return {command.name or "": command for command in COMMANDS}


@click.group(cls=Commands)
@click.version_option(sawbill.__version__, package_name="sawbill")
def main() -> None:
    """Quotes for furniture built from construction lumber: what to buy, how to cut it, what it costs."""


@main.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", default=8000, show_default=True, type=click.IntRange(1, 65535), help="Port to listen on.")
@click.option("--workers", default=2, show_default=True, type=click.IntRange(1, 64), help="Worker processes.")
@click.option(
    "--books", type=click.Path(file_okay=False, path_type=Path), help="Folder of price books, one folder each."
)
@click.option(
    "--data", metavar="FOLDER", help="The store: its data folder, or a PostgreSQL address; nothing unless given."
)
def serve(host: str, port: int, workers: int, books: Path | None, data: str | None) -> None:
    """Start the HTTP service."""
    from sawbill.store import Store, StoreError
    from sawbill.web.app import create_app
    from sawbill.web.server import run
    from sawbill.web.settings import SettingsError, read_settings

    given = {"SAWBILL_BOOKS": books and str(books), "SAWBILL_DATA": data}
    try:
        settings = read_settings({**os.environ, **{name: text for name, text in given.items() if text}})
        app = create_app(settings)
        if settings.data is not None:
            with Store.open(settings.data) as store:  # and closed again: each worker opens its own
                store.prepare()
    except (SettingsError, BadDesignError, StoreError) as error:
        _refuse([str(error)])
    run(app, host, port, workers)


@main.command()
@click.argument("design")
@click.option(
    "--set", "settings", multiple=True, metavar="OPTION=VALUE", help="An option of the design; may be repeated."
)
@click.option(
    "--site",
    multiple=True,
    metavar="NAME=VALUE",
    help="Of where it is to stand: room_length, room_width, ceiling, door_width, door_height, door_swing, "
    "vehicle_length, vehicle_width, vehicle_height, one_person, indoors; may be repeated.",
)
@_prices
@click.option("--quantity", default=1, show_default=True, help="How many to build.")
@_units
@_form
def quote(
    design: str,
    settings: Sequence[str],
    site: Sequence[str],
    prices: str,
    quantity: int,
    units: str | None,
    form: str,
) -> None:
    """Quote a DESIGN: what to buy, how to cut it, the hardware and the total."""
    book = _book(prices)
    options = _named("--set", settings, "OPTION=VALUE, such as --set mattress=queen")
    line = {"design": design, "label": design, "quantity": quantity, "options": options}
    place = _named("--site", site, "NAME=VALUE, such as --site ceiling='8 ft'")
    raw = {"lines": [line], "site": place, **({"units": units} if units else {})}
    try:
        request = read_request(raw, book, designs())
    except BadDesignError as error:
        _refuse([str(error)])
    except RequestFaultsError as error:
        raise click.UsageError("\n".join(fault.detail for fault in error.faults)) from None
    _print(quote_json(_made(request, book)), form)


@main.command()
@click.argument("pieces", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@_prices
@_units
@_form
def plan(pieces: Path, prices: str, units: str | None, form: str) -> None:
    """Plan how to cut own PIECES: a CSV file with the columns name, section, length, quantity and perhaps shortest."""
    book = _book(prices)
    try:
        request = read_pieces_file(pieces, book, {"units": units} if units else {})
    except BookFaultsError as error:
        raise click.UsageError("\n".join(fault.within(str(pieces)) for fault in error.faults)) from None
    _print(plan_json(_made(request, book)), form)


@main.command("check-prices")
@click.argument("book")
def check_prices(book: str) -> None:
    """Read a price BOOK (its folder, or the name of a sample) and report every fault in it."""
    read = _book(book)
    click.echo(
        f"{read.title}: revision {read.revision}, {len(read.lumber)} lumber prices, "
        f"{len(read.hardware)} of hardware, {len(read.supplies)} of supplies; no faults"
    )


def in_tables(answer: dict[str, Any]) -> str:
    """Print the JSON of a quote, or of a cutting plan, as plain tables for a terminal."""
    book = answer["price_book"]
    titled: dict[str, list[Sequence[object]]] = {
        "Buy": [
            (row["quantity"], _what(row), row["supplier"], row["item_code"], row["each"], row["amount"])
            for row in answer["shopping_list"]
        ],
        "Cut list": [
            (row["part"], row["quantity"], row["name"], row["section"], row["length"]["text"])
            for row in answer["cut_list"]
        ],
        "Saw stops": [
            (row["section"], row["length"]["text"], f"{row['count']} x", " ".join(row["parts"]))
            for row in answer["saw_stops"]
        ],
        "Cutting plan": [
            (
                f"{row['count']} x", row["section"], row["stock_length"]["text"], _cuts(row["cuts"]),
                f"leaves {row['leftover']['text']}", _at_yard(row),
            )
            for row in answer["cutting_plan"]
        ],
        "What each bears": [
            (row["label"], f"{row['quantity']} x", row["each"], "and", row["remainder"], "=", row["total"])
            for row in answer.get("shares", ())
            if len(answer["shares"]) > 1 or row["quantity"] > 1
        ],
        "A little shorter saves": [
            (row["part"], f"{row['length']['text']} to {row['shorter']['text']}", row["saves"])
            for row in answer["near_misses"]
        ],
        "Left over, worth keeping": [
            (row["quantity"], row["section"], row["length"]["text"], row["species"] or "", row["grade"] or "")
            for row in answer["leftovers"]
        ],
        "Boards to fetch": [
            (f"{load['mass_kg']} kg", f"the longest {load['longest']['text']}")
            for load in [answer.get("load_home")]
            if load and load["longest"]
        ],
        "Checks (for planning, not a certificate)": [
            (row["status"], row["rule"], row["found"] or "", row["required"] or "", row["source"], row["clause"] or "")
            for row in answer.get("checks", ())
        ],
        "Steps (whole minutes at work, and waiting)": [
            (row["number"], row["title"], row["label"], f"{row['people']} at work", _range(row["hands_on_minutes"]),
             f"wait {_range(row['waiting_minutes'])}" if row["waiting_minutes"]["most"] else "")
            for row in answer.get("steps", ())
        ],
        "Tools": [
            (row["quantity"], " ".join(filter(None, (row["tool"], row["size"]))), row["use"])
            for row in answer.get("tools", ())
        ],
        "To know": [(row["severity"], row["message"]) for row in answer["warnings"]],
        f"Totals in {book['currency']}, prices of {book['name']} as of {book['as_of']}": [*answer["totals"].items()],
    }  # fmt: skip
    proof = answer["proof"]
    closing = f"Lumber cost {proof['status'].replace('_', ' ')}: at least {proof['bound']}, gap {proof['gap']}."
    return "\n\n".join([f"{title}\n{aligned(rows)}" for title, rows in titled.items() if rows] + [closing])


def aligned(rows: Iterable[Sequence[object]]) -> str:
    """Lay rows out in columns, numbers of money and count to the right."""
    texts = [[str(cell) for cell in row] for row in rows]
    widths = [max(map(len, column)) for column in zip(*texts, strict=True)]
    return "\n".join(f"  {'  '.join(map(_padded, row, widths))}".rstrip() for row in texts)


def _range(minutes: dict[str, int]) -> str:
    """A time as a range [min]."""
    return f"{minutes['least']} to {minutes['most']} min"


def _padded(cell: str, width: int) -> str:
    return cell.rjust(width) if cell.replace(".", "", 1).isdigit() else cell.ljust(width)


def _what(row: dict[str, Any]) -> str:
    """Name a line of the shopping list in the trade's words."""
    length = row["length"]["text"] if row.get("length") else ""
    if row["kind"] == "lumber":
        return f"{row['section']} x {length} {row['species']} {row['grade']}"
    size = " x ".join(filter(None, (row.get("size"), length)))
    pack = f"pack of {row['pack']}" if row["kind"] == "hardware" else row["container"]
    return " ".join(filter(None, (row["item"], size))) + f", {pack}"


def _cuts(cuts: Sequence[dict[str, Any]]) -> str:
    """Tell the cuts of a board in order, like ones together."""
    told: list[list[Any]] = []
    for cut in cuts:
        name = f"{cut['part']} {cut['length']['text']}" + (f" (rip and cut {cut['parts']})" if cut["blank"] else "")
        if told and told[-1][1] == name:
            told[-1][0] += 1
        else:
            told.append([1, name])
    return " + ".join(f"{count} x {name}" if count > 1 else name for count, name in told)


def _at_yard(row: dict[str, Any]) -> str:
    """Tell what to have cut at the yard, if anything."""
    if not row["yard_cuts"]:
        return ""
    first = "square, then " if row["yard_squares"] else ""
    return f"at the yard: {first}{' + '.join(length['text'] for length in row['yard_cuts'])}"


def _made(request: Request, book: PriceBook) -> Quote:
    """Make the quote, or say everything that cannot be bought."""
    try:
        return make_quote(request, book)
    except NothingFitsError as error:
        _refuse(each.message for each in error.lacking)


def _print(answer: dict[str, Any], form: str) -> None:
    click.echo(json.dumps(answer, ensure_ascii=False, indent=2) if form == "json" else in_tables(answer))


def _book(name: str) -> PriceBook:
    """Read a price book by its folder or its sample name, or say everything that is wrong with it."""
    try:
        return read_folder(Path(name)) if Path(name).is_dir() else Shelf(sample_folder()).get(name)
    except UnknownBookError as error:
        raise click.UsageError(f"{name} is no folder, and {error}") from None
    except BookFaultsError as error:
        _refuse(map(str, error.faults))


def _named(word: str, settings: Sequence[str], form: str) -> dict[str, str]:
    """Read the values given with an option that may be repeated, by name."""
    values: dict[str, str] = {}
    for setting in settings:
        name, equals, value = setting.partition("=")
        if not equals:
            raise click.UsageError(f"{word} {setting}: write {form}")
        if name in values:
            raise click.UsageError(f"{word} {setting}: {name} is set twice")
        values[name] = value
    return values


def _refuse(messages: Iterable[str]) -> NoReturn:
    """Print each message on a line of its own to the error stream, and end with the answer no."""
    for message in messages:
        click.echo(message, err=True)
    raise SystemExit(NO)
