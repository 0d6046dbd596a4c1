"""The commands for the store: migrate, backup, restore, token, hand-over."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from sawbill.cli.options.groups import HELP
from sawbill.cli.output.ending import refuse
from sawbill.store import LOCAL_OWNER, SCOPES, Scope, StoreError, Token, UnknownTokenError

if TYPE_CHECKING:
    from sawbill.store import Store

DATA: Final = "SAWBILL_DATA"
"""The variable that names the store where no option does."""

data_option = click.option(
    "--data",
    envvar=DATA,
    required=True,
    metavar="FOLDER",
    help=f"The data folder, or the address of a PostgreSQL database (postgresql+psycopg://…); also {DATA}.",
)
_MOST_DAYS: Final = 3650


@click.command(context_settings=HELP)
@data_option
def migrate(data: str) -> None:
    """Bring the store's tables to this version; a data folder that is missing is made."""
    with opened(data) as store:
        before = store.migrate()
    told = {"new": "its tables were made", "behind": "its tables were brought up to this version"}
    click.echo(f"The store is ready: {told.get(before, 'its tables were up to date already')}.")


@click.command(context_settings=HELP)
@click.argument("file", type=click.Path(path_type=Path))
@data_option
def backup(file: Path, data: str) -> None:
    """Copy the store as it stands into one FILE, also while the service runs."""
    with opened(data) as store:
        store.back_up(file)
    click.echo(f"{file}: {file.stat().st_size} bytes, checked.")


@click.command("restore", context_settings=HELP)
@click.argument("file", type=click.Path(path_type=Path))
@data_option
def restore_backup(file: Path, data: str) -> None:
    """Make a store from a backup FILE, in a data folder that is empty or missing."""
    from sawbill.store import restore

    with _told():
        if "://" in data:
            raise StoreError("restore a store in PostgreSQL with pg_restore, from what pg_dump wrote")
        restore(file, Path(data))
    click.echo(f"{data}: restored and checked.")


@click.group(context_settings=HELP)
def token() -> None:
    """Make, list and revoke access tokens."""


@token.command("make", context_settings=HELP)
@click.option("--owner", required=True, help="Its owner: lower-case letters, digits and hyphens, such as anna.")
@click.option("--label", required=True, help="Tells the owner's tokens apart, such as laptop.")
@click.option(
    "--scope",
    "scopes",
    multiple=True,
    required=True,
    type=click.Choice(SCOPES),
    help="What it allows; may be repeated.",
)
@click.option(
    "--days", type=click.IntRange(1, _MOST_DAYS), help="How many days it lasts; unless given, until it is revoked."
)
@data_option
def make_token(owner: str, label: str, scopes: Sequence[Scope], days: int | None, data: str) -> None:
    """Make a token and print its secret, which cannot be shown again."""
    expires = None if days is None else datetime.now(UTC) + timedelta(days=days)
    with opened(data) as store:
        first = not store.tokens.exist()
        try:
            made, secret = store.tokens.make(owner, label, scopes, expires)
        except ValueError as error:
            raise click.UsageError(str(error)) from None
        left = store.owners.kept_by(LOCAL_OWNER) if first and owner != LOCAL_OWNER else {}
    click.echo(
        f"{_line(made)}\nIts secret, shown only this once; sign in with it at /sign-in, or send it as: Authorization: "
        "Bearer SECRET",
        err=True,
    )
    click.echo(secret)
    if first:
        click.echo(_first_token(owner, left), err=True)


def _first_token(owner: str, left: Mapping[str, int]) -> str:
    """Say what the first token changes; left: how much was kept while nobody needed one."""
    now = "This is the first token: from now on the service asks everybody for one, on this machine too."
    if not any(left.values()):
        return now
    kept = f"What was kept without a token belongs to the owner {LOCAL_OWNER}: {_counted(left)}."
    return f"{now}\n{kept} Give it to {owner} with:\n  sawbill hand-over --from {LOCAL_OWNER} --to {owner}"


def _counted(kept: Mapping[str, int]) -> str:
    """Tell in words how much an owner keeps."""
    told = [f"{count} {what if count != 1 else what.removesuffix('s')}" for what, count in kept.items() if count]
    return ", ".join(told) or "nothing"


@click.command("hand-over", context_settings=HELP)
@click.option("--from", "old", required=True, metavar="OWNER", help=f"Whose it is, such as {LOCAL_OWNER}.")
@click.option("--to", "new", required=True, metavar="OWNER", help="Whose it is to be, such as anna.")
@data_option
def hand_over(old: str, new: str, data: str) -> None:
    """Give all that one owner keeps to another: quotes, price books and jobs, all at once.

    Before the first token, what is kept on your own machine belongs to the owner local.
    """
    with opened(data) as store:
        try:
            moved = store.owners.hand_over(old, new)
        except ValueError as error:
            raise click.UsageError(str(error)) from None
    click.echo(f"{new} now has what was {old}'s: {_counted(moved)}.")


@token.command("list", context_settings=HELP)
@data_option
def list_tokens(data: str) -> None:
    """List the tokens: id, owner, label, scopes, and how long they last."""
    with opened(data) as store:
        for each in store.tokens.list():
            click.echo(_line(each))


@token.command("revoke", context_settings=HELP)
@click.argument("token_id", metavar="ID")
@data_option
def revoke_token(token_id: str, data: str) -> None:
    """Revoke the token with this ID: it opens nothing from now on."""
    with opened(data) as store:
        try:
            revoked = store.tokens.revoke(token_id)
        except UnknownTokenError as error:
            raise click.UsageError(str(error)) from None
    click.echo(_line(revoked))


def _line(each: Token) -> str:
    """Tell a token in one line."""
    if each.revoked is not None:
        until = f"revoked {each.revoked:%Y-%m-%d}"
    else:
        until = f"until {each.expires:%Y-%m-%d}" if each.expires else "until it is revoked"
    return f"{each.id}  {each.owner}  {each.label}  {' '.join(sorted(each.scopes))}  {until}"


@contextmanager
def opened(data: str) -> Iterator[Store]:
    """Open the store, and tell what it cannot do."""
    from sawbill.store import Store  # what talks to a database takes a second to load

    with _told(), Store.open(data) as store:
        yield store


@contextmanager
def _told() -> Iterator[None]:
    """Print what the store cannot do to the error stream, and end with the answer no."""
    try:
        yield
    except StoreError as error:
        refuse([str(error)])
