"""Settings and passwords that stand in files, so that no list of a container's environment shows them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from sawbill.prices.rows.faults import SawbillError

SUFFIX: Final = "_FILE"
PASSWORD: Final = "PGPASSWORD"
"""What PostgreSQL's own library reads a password from."""


class SecretFileError(SawbillError):
    """A file that a variable names cannot be read, or is named beside the variable itself."""


def from_files(environment: Mapping[str, str]) -> dict[str, str]:
    """Give the variables that are named by files: NAME_FILE is the path of a file that holds NAME.

    Raises SecretFileError: with every fault.
    """
    found: dict[str, str] = {}
    faults = []
    for variable, path in sorted(environment.items()):
        name = variable.removesuffix(SUFFIX)
        if name == variable or not path or not (name.startswith("SAWBILL_") or name == PASSWORD):
            continue
        if environment.get(name):
            faults.append(f"{variable} and {name} are both set; set one of them")
            continue
        try:
            found[name] = Path(path).read_text().strip()
        except (OSError, UnicodeDecodeError) as error:
            why = getattr(error, "strerror", None) or "it is not UTF-8"
            faults.append(f"{variable} is {path!r}: {why}; name a file the service's user can read")
    if faults:
        raise SecretFileError("\n".join(faults))
    return found


def without_files(environment: Mapping[str, str]) -> dict[str, str]:
    """Give the environment with what is in those files in place of their names. Raises SecretFileError."""
    read = from_files(environment)
    return {name: text for name, text in environment.items() if name.removesuffix(SUFFIX) not in read} | read
