"""What the operator may set, read once from the environment when the service starts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.util import find_spec
from pathlib import Path
from typing import Final, Literal

from sawbill.backroom.starting import engines
from sawbill.prices.rows.cells import nearest
from sawbill.prices.shelf import sample_folder
from sawbill.store import Allowance, Store, StoreError

PREFIX: Final = "SAWBILL_"
LEAST_BODY: Final = 1_000
USUAL_BODY: Final = 2_000_000
MOST_BODY: Final = 100_000_000
MOST_PROXIES: Final = 5
MOST_ENGINES: Final = 64
LEAST_MEMORY: Final = 100
USUAL_MEMORY: Final = 400
MOST_MEMORY: Final = 100_000
LEAST_DEADLINE: Final = 2
USUAL_DEADLINE: Final = 20
MOST_DEADLINE: Final = 600
"""How much work may take, and how long [MiB, s]."""
LEAST_RATE: Final = 100
"""The smallest allowance, which any one request of the usual size can still be granted from [units]."""
MOST_RATE: Final = 1_000_000_000
WINDOWS: Final = {"second": 1, "minute": 60, "hour": 3600, "day": 86_400}
"""What a rate may be told by [s]."""

NAMES: Final[Mapping[str, str]] = {
    "SAWBILL_BOOKS": "the folder of price books, one folder each; unset: the sample books",
    "SAWBILL_DATA": "the data folder, or an address that begins with postgresql+psycopg://; unset: nothing is stored",
    "SAWBILL_PORT": "the port that `sawbill serve` listens on and the health check asks; unset: 8000",
    "SAWBILL_TRUSTED_HOSTS": "host names the service answers to, separated by commas; unset: any",
    "SAWBILL_MAX_BODY": f"the largest request body in bytes; unset: {USUAL_BODY}",
    "SAWBILL_READING": "who may read and make quotes: open (anyone), or token (anyone who has one); unset: open",
    "SAWBILL_METRICS": "who may read /metrics: token (whoever has one with the scope metrics), or open (anybody); "
    "unset: token",
    "SAWBILL_LOCAL": "yes: until the first token is made, anyone on this machine may do everything; unset: no, "
    "but yes for `sawbill serve` on a loopback address",
    "SAWBILL_RATE": "how much one caller may ask for, in units of cost, such as 600 per minute; unset: no limit",
    "SAWBILL_ENGINES": f"how many processes calculate, up to {MOST_ENGINES}; unset: one for each processor, up to 4",
    "SAWBILL_ENGINE_MEMORY": f"by how many MiB each of these may grow; unset: {USUAL_MEMORY}",
    "SAWBILL_DEADLINE": f"how many seconds a request may take in all; unset: {USUAL_DEADLINE}",
    "SAWBILL_CLUSTER": "the address of a cluster's scheduler, such as tls://scheduler:8786, whose workers make "
    "comparisons, proposals and jobs; unset: this machine does",
    "SAWBILL_PROXIES": "how many proxies are in front of the service, each adding to X-Forwarded-For; "
    "X-Forwarded-Prefix is believed of the nearest, which must take away a client's own; unset: 0",
}
"""Every variable that is read, and what it sets."""

_SCHEDULER: Final = re.compile(r"(tcp|tls)://([A-Za-z0-9.-]+|\[[0-9A-Fa-f:.]+\]):[0-9]{1,5}", re.ASCII)
_RATE: Final = re.compile(rf"([0-9]{{1,10}}) per ({'|'.join(WINDOWS)})", re.ASCII)


class SettingsError(ValueError):
    """Settings that the service cannot start with: one line a fault, each with the variable and what would be right."""


@dataclass(frozen=True, slots=True)
class Settings:
    """books: the folder of price books; trusted_hosts: empty for any; max_body: of a request [bytes].

    data: where the store is, as `Store.open` takes it; None: nothing is kept. reading, metrics: who may read and
    estimate, and who may read the metrics; local: whether somebody alone on this machine needs no token; rate: what one
    caller may spend; proxies: how many are believed about who asks; engines: how many processes reckon; memory: by how
    much each may grow [MiB]; deadline: of a request [s]; cluster: the address of its scheduler, None: there is none.
    """

    books: Path = field(default_factory=sample_folder)
    trusted_hosts: tuple[str, ...] = ()
    max_body: int = USUAL_BODY
    data: str | None = None
    reading: Literal["open", "token"] = "open"
    local: bool = False
    rate: Allowance | None = None
    proxies: int = 0
    metrics: Literal["token", "open"] = "token"
    engines: int = field(default_factory=engines)
    memory: int = USUAL_MEMORY
    deadline: int = USUAL_DEADLINE
    cluster: str | None = None


def read_settings(environment: Mapping[str, str]) -> Settings:
    """Read the settings; a variable that is unset or empty takes its usual value.

    Raises SettingsError: with every fault, unknown variables of ours among them.
    """
    given = {name: text.strip() for name, text in environment.items() if name.startswith(PREFIX) and text.strip()}
    faults = [f"{name} is not a setting; {nearest(name, NAMES)}" for name in sorted(set(given) - set(NAMES))]
    settings = Settings(
        _books(given, faults),
        _hosts(given, faults),
        _number(given, "SAWBILL_MAX_BODY", LEAST_BODY, USUAL_BODY, MOST_BODY, " of bytes", faults),
        _data(given, faults),
        "token" if _word(given, "SAWBILL_READING", ("open", "token"), faults) == "token" else "open",
        _word(given, "SAWBILL_LOCAL", ("no", "yes"), faults) == "yes",
        _rate(given, faults),
        _number(given, "SAWBILL_PROXIES", 0, 0, MOST_PROXIES, "", faults),
        "open" if _word(given, "SAWBILL_METRICS", ("token", "open"), faults) == "open" else "token",
        _number(given, "SAWBILL_ENGINES", 1, engines(), MOST_ENGINES, "", faults),
        _number(given, "SAWBILL_ENGINE_MEMORY", LEAST_MEMORY, USUAL_MEMORY, MOST_MEMORY, " of MiB", faults),
        _number(given, "SAWBILL_DEADLINE", LEAST_DEADLINE, USUAL_DEADLINE, MOST_DEADLINE, " of seconds", faults),
        _cluster(given, faults),
    )
    if settings.data is None:
        needing = {"SAWBILL_READING": settings.reading == "token", "SAWBILL_RATE": settings.rate is not None}
        faults += [f"{name} needs a store; set SAWBILL_DATA too" for name, needs in needing.items() if needs]
    if faults:
        raise SettingsError("\n".join(faults))
    return settings


def _books(given: Mapping[str, str], faults: list[str]) -> Path:
    books = Path(given["SAWBILL_BOOKS"]) if "SAWBILL_BOOKS" in given else sample_folder()
    if not books.is_dir():
        faults.append(f"SAWBILL_BOOKS is {str(books)!r}; it must be a folder that holds price books, one folder each")
    return books


def _data(given: Mapping[str, str], faults: list[str]) -> str | None:
    data = given.get("SAWBILL_DATA")
    try:
        if data is not None:
            Store.open(data)
    except StoreError as error:
        faults.append(f"SAWBILL_DATA: {error}")
    return data


def _hosts(given: Mapping[str, str], faults: list[str]) -> tuple[str, ...]:
    hosts = tuple(filter(None, (host.strip() for host in given.get("SAWBILL_TRUSTED_HOSTS", "").split(","))))
    faults += [
        f"SAWBILL_TRUSTED_HOSTS names {host!r}; write host names alone, such as quotes.example, no scheme or path"
        for host in hosts
        if any(sign in host for sign in "/ \\*")
    ]
    return hosts


def _number(
    given: Mapping[str, str], name: str, least: int, usual: int, most: int, unit: str, faults: list[str]
) -> int:
    text = given.get(name, str(usual))
    plain = text.isascii() and text.isdigit() and len(text) <= len(str(most))
    if plain and least <= int(text) <= most:
        return int(text)
    faults.append(f"{name} is {text!r}; it must be a whole number{unit} from {least} to {most}")
    return usual


def _word(given: Mapping[str, str], name: str, words: tuple[str, ...], faults: list[str]) -> str:
    """Read one of some words, the first the usual one."""
    text = given.get(name, words[0])
    if text not in words:
        faults.append(f"{name} is {text!r}; it must be {' or '.join(words)}")
    return text


def _cluster(given: Mapping[str, str], faults: list[str]) -> str | None:
    address = given.get("SAWBILL_CLUSTER")
    if address is None:
        return None
    if not _SCHEDULER.fullmatch(address):
        remedy = "tcp:// or tls://, a host and a port, such as tls://scheduler:8786"
        faults.append(f"SAWBILL_CLUSTER is {address!r}; it must be {remedy}")
    elif find_spec("distributed") is None:
        faults.append("SAWBILL_CLUSTER needs a package that is not here; install sawbill[cluster]")
    return address


def _rate(given: Mapping[str, str], faults: list[str]) -> Allowance | None:
    text = given.get("SAWBILL_RATE")
    if text is None:
        return None
    read = _RATE.fullmatch(text)
    if read and LEAST_RATE <= int(read[1]) <= MOST_RATE:
        return Allowance(int(read[1]), WINDOWS[read[2]])
    remedy = f"a number from {LEAST_RATE} to {MOST_RATE} per {', '.join(WINDOWS)}, such as 600 per minute"
    faults.append(f"SAWBILL_RATE is {text!r}; it must be {remedy}")
    return None
