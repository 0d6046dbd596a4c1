"""The commands for whoever keeps a service: whose the stored price books are, and the groups they are shared with."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

import click

from sawbill.cli.commands.store import data_option, opened
from sawbill.cli.options.groups import HELP
from sawbill.store import RIGHTS, BookEntry, DeletedBookError, NotYoursError, Right, UnknownStoredBookError, Who

if TYPE_CHECKING:
    from sawbill.store import Store

KEEPER: Final = Who("", everything=True)
"""Who runs the command reaches everything, as he reaches the files."""

_to = click.option(
    "--to", required=True, metavar="WHOM", help="everyone, owner:NAME, or group:NAME for the members of a group."
)


@click.group(context_settings=HELP)
def book() -> None:
    """List stored price books, share them, give them away, and bring back deleted ones."""


@book.command("list", context_settings=HELP)
@data_option
def list_books(data: str) -> None:
    """List the stored price books: name, owner, revision, who else may do what; deleted ones at the end."""
    with opened(data) as store:
        for entry in store.books.list(KEEPER):
            grants = store.rights.of(entry.name, KEEPER).grants
            shared = ", ".join(f"{grant.to} may {grant.may}" for grant in grants) or "shared with nobody"
            click.echo(f"{_line(entry)}  {shared}")
        for entry in store.books.deleted(KEEPER):
            click.echo(f"{_line(entry)}  deleted {entry.deleted:%Y-%m-%d}")


@book.command("let", context_settings=HELP)
@click.argument("name")
@_to
@click.option(
    "--may", required=True, type=click.Choice(RIGHTS), help="What they may do; whoever may write may also read."
)
@data_option
def let(name: str, to: str, may: Right, data: str) -> None:
    """Let others read the price book NAME, or change it too."""
    with _changing(data) as store:
        store.rights.let(name, to, may, KEEPER)


@book.command("keep-from", context_settings=HELP)
@click.argument("name")
@_to
@data_option
def keep_from(name: str, to: str, data: str) -> None:
    """Stop sharing the price book NAME with others."""
    with _changing(data) as store:
        store.rights.keep_from(name, to, KEEPER)


@book.command("give", context_settings=HELP)
@click.argument("name")
@click.option("--owner", required=True, help="Its new owner.")
@data_option
def give(name: str, owner: str, data: str) -> None:
    """Give the price book NAME to another owner."""
    with _changing(data) as store:
        store.rights.give(name, owner, KEEPER)


@book.command("undelete", context_settings=HELP)
@click.argument("name")
@data_option
def undelete(name: str, data: str) -> None:
    """Bring back the deleted price book NAME."""
    with _changing(data) as store:
        click.echo(_line(store.books.undelete(name, KEEPER)))


@click.group(context_settings=HELP)
def group() -> None:
    """List groups of owners, and change who is in them."""


@group.command("list", context_settings=HELP)
@data_option
def list_groups(data: str) -> None:
    """List the groups, each with its members."""
    with opened(data) as store:
        for name, owners in store.groups.list().items():
            click.echo(f"{name}  {' '.join(owners)}")


@group.command("add", context_settings=HELP)
@click.argument("name")
@click.argument("owners", metavar="OWNER...", nargs=-1, required=True)
@data_option
def add_members(name: str, owners: Sequence[str], data: str) -> None:
    """Add each OWNER to the group NAME, which is made if it is new."""
    with _changing(data) as store:
        store.groups.add(name, owners)


@group.command("remove", context_settings=HELP)
@click.argument("name")
@click.argument("owners", metavar="OWNER...", nargs=-1, required=True)
@data_option
def remove_members(name: str, owners: Sequence[str], data: str) -> None:
    """Take each OWNER out of the group NAME; a group without members is gone."""
    with _changing(data) as store:
        store.groups.remove(name, owners)


def _line(entry: BookEntry) -> str:
    return f"{entry.name}  {entry.owner}  {entry.revision}"


@contextmanager
def _changing(data: str) -> Iterator[Store]:
    """Open the store, and tell what is wrong with what it is asked to change."""
    with opened(data) as store:
        try:
            yield store
        except DeletedBookError as error:
            raise click.UsageError(f"{error}: sawbill book undelete {error.name}") from None
        except (ValueError, UnknownStoredBookError, NotYoursError) as error:
            raise click.UsageError(str(error)) from None
