"""What the operator may set, read once from the environment when the service starts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from sawbill.files.cells import nearest
from sawbill.files.shelf import sample_folder
from sawbill.store import Store, StoreError

PREFIX: Final = "SAWBILL_"
LEAST_BODY: Final = 1_000
USUAL_BODY: Final = 2_000_000
MOST_BODY: Final = 100_000_000

NAMES: Final[Mapping[str, str]] = {
    "SAWBILL_BOOKS": "the folder of price books, one folder each; unset: the sample books",
    "SAWBILL_DATA": "the data folder, or an address that begins with postgresql+psycopg://; unset: nothing is kept",
    "SAWBILL_TRUSTED_HOSTS": "host names the service answers to, separated by commas; unset: any",
    "SAWBILL_MAX_BODY": f"the largest request body in bytes; unset: {USUAL_BODY}",
}
"""Every variable that is read, and what it sets."""


class SettingsError(ValueError):
    """Settings that the service cannot start with: one line a fault, each with the variable and what would be right."""


@dataclass(frozen=True, slots=True)
class Settings:
    """books: the folder of price books; trusted_hosts: empty for any; max_body: of a request [bytes].

    data: where the store is, as `Store.open` takes it; None: nothing is kept.
    """

    books: Path = field(default_factory=sample_folder)
    trusted_hosts: tuple[str, ...] = ()
    max_body: int = USUAL_BODY
    data: str | None = None


def read_settings(environment: Mapping[str, str]) -> Settings:
    """Read the settings; a variable that is unset or empty takes its usual value.

    Raises SettingsError: with every fault, unknown variables of ours among them.
    """
    given = {name: text.strip() for name, text in environment.items() if name.startswith(PREFIX) and text.strip()}
    faults = [f"{name} is not a setting; {nearest(name, NAMES)}" for name in sorted(set(given) - set(NAMES))]
    books = Path(given["SAWBILL_BOOKS"]) if "SAWBILL_BOOKS" in given else sample_folder()
    if not books.is_dir():
        faults.append(f"SAWBILL_BOOKS is {str(books)!r}; it must be a folder that holds price books, one folder each")
    data = given.get("SAWBILL_DATA")
    try:
        if data is not None:
            Store.open(data)
    except StoreError as error:
        faults.append(f"SAWBILL_DATA: {error}")
    hosts = tuple(filter(None, (host.strip() for host in given.get("SAWBILL_TRUSTED_HOSTS", "").split(","))))
    faults += [
        f"SAWBILL_TRUSTED_HOSTS names {host!r}; write host names alone, such as quotes.example, no scheme or path"
        for host in hosts
        if any(sign in host for sign in "/ \\*")
    ]
    body = given.get("SAWBILL_MAX_BODY", str(USUAL_BODY))
    plain = body.isascii() and body.isdigit() and len(body) <= len(str(MOST_BODY))
    if not plain or not LEAST_BODY <= int(body) <= MOST_BODY:
        faults.append(
            f"SAWBILL_MAX_BODY is {body!r}; it must be a whole number of bytes from {LEAST_BODY} to {MOST_BODY}"
        )
    if faults:
        raise SettingsError("\n".join(faults))
    return Settings(books, hosts, int(body), data)
