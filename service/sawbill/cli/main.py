"""The `sawbill` command: serve, quote, draw, compare, plan, check-prices, those of `store` and of `books`.

Exit codes: 0 done; 1 the answer is no (a faulty price book, an order that cannot be bought, no quote in
a whole comparison); 2 a faulty request.
"""

from __future__ import annotations

import ipaddress
import json
import os
from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Any, Final, NoReturn

import click

import sawbill
from sawbill.answer.csvform import csv_bytes
from sawbill.answer.jsonform import table_json
from sawbill.answer.quote import plan_json, quote_json
from sawbill.answer.tables import TABLES
from sawbill.answer.text import quote_text, table_text
from sawbill.asked.pieces import read_pieces_file
from sawbill.asked.request import Request, RequestFaultsError, read_request
from sawbill.buying.boards import NothingFitsError
from sawbill.cli import books, store
from sawbill.drawings.catalogue import VIEWS
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.forms.forms import BY_SUFFIX, Form
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.prices.shelf import Shelf, UnknownBookError, sample_folder
from sawbill.quoting.quote import Quote, make_quote
from sawbill.registry import BadDesignError, designs
from sawbill.web.running.secrets import SUFFIX, SecretFileError, from_files

NO: Final = 1
"""Exit code when the answer is no."""

_prices = click.option(
    "--prices",
    default="sample-inch",
    show_default=True,
    metavar="BOOK",
    help="A price book: its folder, its .xlsx or .zip file, or the name of a sample.",
)
_species = click.option(
    "--species", metavar="SPECIES,...", help="The species of lumber that will do; any unless given."
)
_must_hold = click.option(
    "--must-hold", type=click.Choice(["yes", "no"]), default="yes", show_default=True,
    help="Whether to buy the cheapest boards that hold; no: the cheapest, whether they hold or not.",
)  # fmt: skip
_grades = click.option("--grades", metavar="GRADE,...", help="The grades of lumber that will do; any unless given.")
_units = click.option(
    "--units", type=click.Choice(["inch", "metric"]), help="How lengths are printed; the book's own unless given."
)
_form = click.option(
    "--format",
    "form",
    type=click.Choice(["table", "csv", "json"]),
    default="table",
    show_default=True,
    help="csv prints one table: the costs, unless another is named.",
)
_table = click.option("--table", type=click.Choice(list(TABLES)), help="One of the tables alone.")


@click.group()
@click.version_option(sawbill.__version__, package_name="sawbill")
def main() -> None:
    """Quotes for furniture built from construction lumber: what to buy, how to cut it, what it costs."""
    try:
        os.environ.update(read := from_files(os.environ))
    except SecretFileError as error:
        _refuse([str(error)])
    for name in read:
        del os.environ[f"{name}{SUFFIX}"]


@main.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option(
    "--port",
    default=8000,
    show_default=True,
    envvar="SAWBILL_PORT",
    type=click.IntRange(1, 65535),
    help="Port to listen on; also SAWBILL_PORT.",
)
@click.option("--workers", default=2, show_default=True, type=click.IntRange(1, 64), help="Worker processes.")
@click.option(
    "--books", type=click.Path(file_okay=False, path_type=Path), help="Folder of price books, one folder each."
)
@click.option(
    "--data", metavar="FOLDER", help="The store: its data folder, or a PostgreSQL address; nothing unless given."
)
@click.option(
    "--share-port",
    is_flag=True,
    help="Let others listen on the port too, if they are started so by the same user: a successor, to hand over to.",
)
def serve(host: str, port: int, workers: int, books: Path | None, data: str | None, share_port: bool) -> None:
    """Start the HTTP service.

    On a loopback address, as long as no token was made, whoever uses this machine may do everything. On another, a
    service with a store needs a token first. Sockets that systemd hands over stand in place of --host and --port.
    """
    from sawbill.backroom import Remote
    from sawbill.store import StoreError
    from sawbill.web.app import create_app
    from sawbill.web.running import listening, server, shared
    from sawbill.web.running.settings import SettingsError, read_settings

    reached_at = [each for each in listening.handed_over() or [host] if not _is_loopback(each)]
    given = {"SAWBILL_BOOKS": books and str(books), "SAWBILL_DATA": data}
    usual = {} if reached_at else {"SAWBILL_LOCAL": "yes"}
    with ExitStack() as stack:
        try:
            settings = read_settings({**usual, **os.environ, **{name: text for name, text in given.items() if text}})
            folder = stack.enter_context(shared.shared_folder())
            stack.enter_context(shared.counting(folder))
            keeper = stack.enter_context(server.back_room(settings))
            app = create_app(settings, folder, Remote(keeper.address))
            _check_store(settings.data, ", ".join(reached_at))
            bound = listening.shared(host, port) if share_port else None
        except (SettingsError, BadDesignError, StoreError, listening.NotSharedError) as error:
            _refuse([str(error)])
        server.run(app, keeper, host, port, workers, bound)


def _is_loopback(host: str) -> bool:
    """Tell whether only this machine reaches an address to listen on."""
    try:
        return host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _check_store(data: str | None, reached_at: str) -> None:
    """See that the store, if any, can be used, and that not anybody may write in it.

    reached_at: the address where others reach the service, empty if they do not. Raises StoreError.
    """
    from sawbill.store import Store

    if data is None:
        if reached_at:
            click.echo(f"Whoever reaches {reached_at} can read and estimate; nothing is kept.", err=True)
        return
    with Store.open(data) as store:  # and closed again: each worker opens its own
        store.prepare()
        if reached_at and not store.tokens.exist():
            raise click.UsageError(
                f"others reach {reached_at}, and nobody has a token yet, so nobody could write. Make one first: "
                "sawbill token make --owner NAME --label LABEL --scope admin --data …; or serve on 127.0.0.1"
            )


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
    "vehicle_length, vehicle_width, vehicle_height, one_person, heaviest_user, indoors; may be repeated.",
)
@_species
@_grades
@_must_hold
@_prices
@click.option("--ways-out", is_flag=True, help="Look for changes with which checks pass that fail or warn (in JSON).")
@click.option("--quantity", default=1, show_default=True, help="How many to build.")
@_units
@_form
@_table
def quote(
    design: str,
    settings: Sequence[str],
    site: Sequence[str],
    species: str | None,
    grades: str | None,
    must_hold: str,
    prices: str,
    ways_out: bool,
    quantity: int,
    units: str | None,
    form: str,
    table: str | None,
) -> None:
    """Quote a DESIGN: what to buy, how to cut it, the hardware and the total."""
    book = _book(prices)
    options = _named("--set", settings, "OPTION=VALUE, such as --set mattress=queen")
    line = {"design": design, "label": design, "quantity": quantity, "options": options}
    place = _named("--site", site, "NAME=VALUE, such as --site ceiling='8 ft'")
    raw = {
        "lines": [line],
        "site": place,
        "ways_out": ways_out,
        **_asked_lumber(species, grades, must_hold),
        **({"units": units} if units else {}),
    }
    _print(quote_json(_made(_request(raw, book), book)), form, table)


@main.command()
@click.argument("design")
@click.option(
    "--set", "settings", multiple=True, metavar="OPTION=VALUE", help="An option of the design; may be repeated."
)
@_prices
@_units
@click.option(
    "--view",
    default="isometric",
    show_default=True,
    metavar="VIEW",
    help=f"What is drawn: {', '.join(VIEWS)}, step-1 and on, apart-1 and on.",
)
@click.option(
    "--output",
    "-o",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The file: .svg for a view, .glb for a model, .zip for all sheets, .html or .pdf for the shop's sheet; a view "
    "is printed unless given.",
)
@click.option("--paper", type=click.Choice(["letter", "A4"]), help="Of a sheet; letter for inches unless given, or A4.")
@click.option("--customer", is_flag=True, help="Write the customer's sheet instead of the shop's: no costs in it.")
@click.option("--terms", default="", help="What the customer's sheet says of terms; lines to fill in unless given.")
def draw(
    design: str,
    settings: Sequence[str],
    prices: str,
    units: str | None,
    view: str,
    output: Path | None,
    paper: str | None,
    customer: bool,
    terms: str,
) -> None:
    """Draw a DESIGN: one view of it, its model, every sheet to build it from, or one document of all it takes."""
    from sawbill.cli.draw import drawn
    from sawbill.web.written.printed import Wishes

    book = _book(prices)
    options = _named("--set", settings, "OPTION=VALUE, such as --set mattress=queen")
    request = _request({"lines": [{"design": design, "options": options}], **({"units": units} if units else {})}, book)
    try:
        kind = "customer-sheet" if customer else "shop-sheet"
        data = drawn(request, book, view, output, Wishes(paper or "", terms), kind)
    except NothingFitsError as error:
        _refuse(each.message for each in error.lacking)
    if output is None:
        click.echo(data, nl=False)
    else:
        output.write_bytes(data)


@main.command("compare")
@click.argument("chosen", metavar="DESIGN...", nargs=-1, required=True)
@click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="OPTION=VALUE,...",
    help="The values an option is to take, with commas between; may be repeated.",
)
@click.option("--site", multiple=True, metavar="NAME=VALUE", help="Of where it is to stand, as for a quote.")
@_species
@_grades
@_must_hold
@click.option("--prices", multiple=True, metavar="BOOK", help="A price book, as for a quote; may be repeated.")
@click.option("--quantity", default="1", show_default=True, metavar="N,...", help="How many to build.")
@click.option("--sort", metavar="[-]CRITERION", help="What to sort by, such as total; -total: the most first.")
@click.option("--judge-by", metavar="CRITERION,...", help="By what a row can outdo another.")
@click.option("--baseline", type=int, metavar="ROW", help="The row that others are held against, by its number.")
@click.option("--least", multiple=True, metavar="CRITERION=NUMBER", help="The least that a row may have.")
@click.option("--most", multiple=True, metavar="CRITERION=NUMBER", help="The most that a row may have.")
@_units
@click.option("--format", "form", type=click.Choice(["table", "csv", "json"]), default="table", show_default=True)
def compare_designs(
    chosen: Sequence[str],
    settings: Sequence[str],
    site: Sequence[str],
    species: str | None,
    grades: str | None,
    must_hold: str,
    prices: Sequence[str],
    quantity: str,
    sort: str | None,
    judge_by: str | None,
    baseline: int | None,
    least: Sequence[str],
    most: Sequence[str],
    units: str | None,
    form: str,
) -> None:
    """Compare designs: a row for every DESIGN, value of an option, price book and quantity."""
    from sawbill.cli.compare import made, parts, printed, request_of
    from sawbill.quoting.comparing.compared import read_comparison

    books = [_book(name) for name in prices or ("sample-inch",)]
    limits = {"least": least, "most": most}
    raw = request_of(
        chosen,
        _named("--set", settings, "OPTION=VALUE,..., such as --set mattress=twin,queen"),
        quantity,
        {end: _named(f"--{end}", given, f"CRITERION=NUMBER, as --{end} boards=12") for end, given in limits.items()},
        site=_named("--site", site, "NAME=VALUE, such as --site ceiling='8 ft'"),
        sort=sort, judge_by=judge_by and parts(judge_by), baseline=baseline, units=units,
        **_asked_lumber(species, grades, must_hold),
    )  # fmt: skip
    try:
        compared = read_comparison(raw, books, designs())
    except BadDesignError as error:
        _refuse([str(error)])
    except RequestFaultsError as error:
        raise click.UsageError("\n".join(fault.detail for fault in error.faults)) from None
    rows = made(compared, books)
    click.echo(printed(compared, books, rows, form), nl=False)
    if not any(row.figures for row in rows):
        raise SystemExit(NO)


@main.command()
@click.argument("pieces", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@_prices
@_units
@_form
@_table
def plan(pieces: Path, prices: str, units: str | None, form: str, table: str | None) -> None:
    """Plan how to cut own PIECES: a CSV file with the columns name, section, length and quantity.

    It may have the columns shortest, species and grades too; a bar parts several species or grades that will do.
    """
    book = _book(prices)
    try:
        request = read_pieces_file(pieces, book, {"units": units} if units else {})
    except BookFaultsError as error:
        raise click.UsageError("\n".join(fault.within(str(pieces)) for fault in error.faults)) from None
    _print(plan_json(_made(request, book)), form, table)


@main.command("check-prices")
@click.argument("book")
def check_prices(book: str) -> None:
    """Read a price BOOK (its folder, its workbook, a zip of its files, or a sample's name) and report every fault."""
    read = _book(book)
    click.echo(
        f"{read.title}: revision {read.revision}, {len(read.lumber)} lumber prices, "
        f"{len(read.hardware)} of hardware, {len(read.supplies)} of supplies; no faults"
    )


def _request(raw: dict[str, Any], book: PriceBook) -> Request:
    """Read a request, or say everything that is wrong with it."""
    try:
        return read_request(raw, book, designs())
    except BadDesignError as error:
        _refuse([str(error)])
    except RequestFaultsError as error:
        raise click.UsageError("\n".join(fault.detail for fault in error.faults)) from None


def _made(request: Request, book: PriceBook) -> Quote:
    """Make the quote, or say everything that cannot be bought."""
    try:
        return make_quote(request, book)
    except NothingFitsError as error:
        _refuse(each.message for each in error.lacking)


def _print(answer: dict[str, Any], form: str, table: str | None) -> None:
    """Print a whole quote, or one table of it; CSV has one table only."""
    if form == "csv":
        click.echo(csv_bytes(TABLES[table or "costs"], answer), nl=False)
    elif form == "json":
        shown = answer if table is None else table_json(TABLES[table], answer)
        click.echo(json.dumps(shown, ensure_ascii=False, indent=2))
    else:
        click.echo(quote_text(answer) if table is None else table_text(TABLES[table], answer))


def _book(name: str) -> PriceBook:
    """Read a price book by its folder, its file or its sample name, or say everything that is wrong with it."""
    path = Path(name)
    form = BY_SUFFIX.get(path.suffix.lower())
    if form is not None and path.is_file():
        return _book_in(path, form)
    try:
        return read_folder(path) if path.is_dir() else Shelf(sample_folder()).get(name)
    except UnknownBookError as error:
        raise click.UsageError(f"{name} is no folder and no {' or '.join(BY_SUFFIX)} file, and {error}") from None
    except BookFaultsError as error:
        _refuse(map(str, error.faults))


def _book_in(file: Path, form: Form) -> PriceBook:
    """Read a price book that is one file; it takes the file's name."""
    try:
        return form.read(file.stem, file.read_bytes())
    except BookFaultsError as error:
        _refuse(form.told(fault) for fault in error.faults)


def _asked_lumber(species: str | None, grades: str | None, must_hold: str) -> dict[str, Any]:
    """Write which lumber will do as a request has it; nothing where nothing is asked."""
    from sawbill.cli.compare import parts

    asked = {"species": species, "grades": grades}
    lumber = {name: parts(text) for name, text in asked.items() if text}
    return {"lumber": {**lumber, "must_hold": must_hold}}


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


for _command in (*store.COMMANDS, *books.COMMANDS):
    main.add_command(_command)
