"""The command `serve`: the HTTP service, started."""

from __future__ import annotations

import gc
import ipaddress
import os
from contextlib import ExitStack
from pathlib import Path

import click

from sawbill.cli.options.groups import HELP
from sawbill.cli.output.ending import refuse


@click.command(context_settings=HELP)
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
    gc.disable()  # what is loaded stays: to look for garbage in it takes a seventh of the start

    from sawbill.backroom import Remote
    from sawbill.registry import BadDesignError
    from sawbill.store import StoreError
    from sawbill.web.app import create_app
    from sawbill.web.running import listening, server, shared
    from sawbill.web.running.settings import SettingsError, read_settings

    reached_at = [each for each in listening.handed_over() or [host] if not _is_loopback(each)]
    given = {"SAWBILL_BOOKS": books and str(books), "SAWBILL_DATA": data}
    usual = {} if reached_at else {"SAWBILL_LOCAL": "yes"}
    with ExitStack() as stack:
        stack.callback(gc.enable)
        try:
            settings = read_settings({**usual, **os.environ, **{name: text for name, text in given.items() if text}})
            folder = stack.enter_context(shared.shared_folder())
            stack.enter_context(shared.counting(folder))
            keeper = stack.enter_context(server.back_room(settings))
            app = create_app(settings, folder, Remote(keeper.address))
            _check_store(settings.data, ", ".join(reached_at))
            bound = listening.shared(host, port) if share_port else None
        except (SettingsError, BadDesignError, StoreError, listening.NotSharedError) as error:
            refuse([str(error)])
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
            click.echo(f"Anyone who can reach {reached_at} can read and make quotes; nothing is stored.", err=True)
        return
    with Store.open(data) as store:  # and closed again: each worker opens its own
        store.prepare()
        if reached_at and not store.tokens.exist():
            raise click.UsageError(
                f"others can reach {reached_at}, but there is no token yet, so nobody could store anything. Make "
                "one first: sawbill token make --owner NAME --label LABEL --scope admin --data …; or serve on 127.0.0.1"
            )
