"""The settings of a price book as a TOML file: read with the line of each key, and written back."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from sawbill.prices.rows.faults import Fault, Faults
from sawbill.prices.rows.settings import Settings, read_settings

SETTINGS_FILE: Final = "book.toml"
MAX_SETTINGS_BYTES: Final = 100_000
MOST_MARKS: Final = MappingProxyType({".": 1_000, "=": 5_000, "[": 5_000, "{": 5_000})
"""How many of each sign the settings may have. A reader of TOML takes as much time as the square of the parts of a key;
which dot parts a key, and which stands in a text or a comment, cannot be told before it has read them."""
NO_SETTINGS: Final = Settings({}, None, {}, {})
"""What there is of settings that could not be read."""

_GROUP_LINE: Final = re.compile(r"\s*\[\s*([\w-]+)\s*\]")
_KEY_LINE: Final = re.compile(r"\s*([\w.-]+)\s*=")
_TOML_PLACE: Final = re.compile(r"\(at (?:line (\d+), column (\d+)|end of document)\)")


def read_toml(text: str | None, faults: Faults) -> Settings:
    """Read the settings from TOML; None stands for a text that could not be had, whose fault is noted already."""
    data = None if text is None else _toml(text, faults)
    return NO_SETTINGS if text is None or data is None else read_settings(data, faults, _key_lines(text))


def write_toml(settings: Mapping[str, object]) -> str:
    """Write the settings of a book's JSON form, its groups last; a TOML string takes the escapes of JSON."""

    def line(key: str, value: object) -> str:
        return f"{key} = {json.dumps(value, ensure_ascii=False)}\n"

    plain = "".join(line(key, value) for key, value in settings.items() if not isinstance(value, Mapping))
    groups = {key: value for key, value in settings.items() if isinstance(value, Mapping)}
    return plain + "".join(
        f"\n[{name}]\n" + "".join(line(key, value) for key, value in group.items()) for name, group in groups.items()
    )


def _toml(text: str, faults: Faults) -> Mapping[str, object] | None:
    if any(text.count(mark) > most for mark, most in MOST_MARKS.items()):
        most = " and ".join(f"{most} of {mark}" for mark, most in MOST_MARKS.items())
        remedy = f"write at most {most}, comments included; the settings of a book need some twenty of each"
        faults.add(Fault("book", "too-many-keys", remedy))
        return None
    try:
        return tomllib.loads(text)
    except RecursionError:
        faults.add(Fault("book", "toml-syntax", "write no lists within lists"))
    except ValueError as error:
        place = _TOML_PLACE.search(str(error))
        line = int(place[1]) if place and place[1] else text.count("\n") + 1 if place else None
        column = f" near column {place[2]}" if place and place[2] else ""
        remedy = f'it cannot be read as TOML{column}; write each setting once, as key = "text"'
        faults.add(Fault("book", "toml-syntax", remedy, line=line))
    return None


def _key_lines(text: str) -> dict[str, int]:
    """Find the line of each key, which the TOML reader does not tell; one that is missed has no line."""
    lines: dict[str, int] = {}
    group = ""
    for number, line in enumerate(text.split("\n"), 1):
        if match := _GROUP_LINE.match(line):
            lines.setdefault(match[1], number)
            group = f"{match[1]}."
        elif match := _KEY_LINE.match(line):
            lines.setdefault(group + match[1], number)
    return lines
