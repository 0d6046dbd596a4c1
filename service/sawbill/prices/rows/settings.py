"""The settings of a price book: book.toml, or what stands beside the tables in the JSON object."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from types import MappingProxyType
from typing import Any, Final

from sawbill.prices.about import ABOUT, MOST_TITLE, Currency, Day
from sawbill.prices.pricebook import OTHER
from sawbill.prices.rows import cells
from sawbill.prices.rows.columns import SETTINGS, SHOP_KEYS
from sawbill.prices.rows.faults import Faults
from sawbill.prices.rows.record import Record
from sawbill.prices.shop import SHOP, Shop
from sawbill.trade.declaring.kinds import Kind, Length, Share, Text, Whole, Word, YesNo
from sawbill.trade.lengths import System

GROUPS: Final = ("usual_sections", "shop")
_KINDS: Final = {name: each.kind for name, each in ABOUT.items()} | {
    f"shop.{name}": each.kind for name, each in SHOP.items()
}
FLAGS: Final = tuple(key for key, kind in _KINDS.items() if isinstance(kind, YesNo))
FAULTY: Final = object()
"""Stands for a value whose fault is told already."""
_NO_LINES: Final[Mapping[str, int]] = MappingProxyType({})
_ROLE: Final = re.compile(r"[a-z][a-z0-9_]{0,39}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings as far as they could be read: None stands for what is among the faults.

    lines: the line of each key in its file, where it came from one.
    """

    about: Mapping[str, Any]
    shop: Shop | None
    usual_sections: Mapping[str, str]
    lines: Mapping[str, int]


def read_settings(data: Mapping[str, object], faults: Faults, lines: Mapping[str, int] = _NO_LINES) -> Settings:
    """Read the settings from TOML or JSON values; lines: the line of each key, if known."""
    record = _record(data, faults, lines)
    record.check_names(SETTINGS, "key")
    about = {name: record.read(name, _reader(each.kind, "metric")) for name, each in ABOUT.items()}
    given, usual = data.get("shop"), data.get("usual_sections")
    shop = _shop(given, about["units"] or "metric", faults, lines) if isinstance(given, Mapping) else None
    sections = _usual_sections(usual, faults, lines) if isinstance(usual, Mapping) else {}
    return Settings(about, shop, sections, lines)


def _shop(data: Mapping[str, object], units: System, faults: Faults, lines: Mapping[str, int]) -> Shop | None:
    record = _record(data, faults, lines, "shop.")
    record.check_names(SHOP_KEYS, "key")
    given: dict[str, Any] = {}
    for name, member in SHOP.items():
        read = record.read if member.needed else record.read_if_any
        value = read(name, _reader(member.kind, units))
        given |= {} if value is None else {name: value}
    return record.build(Shop, **given)


def _reader(kind: Kind, units: System) -> Callable[[str], Any]:
    """How a setting of a kind stands in a book, which says a flag as TOML and JSON do."""
    if isinstance(kind, Length):
        low, high = kind.in_book
        return partial(cells.length, low=low, high=high, units=units)
    if isinstance(kind, Whole):
        return partial(cells.whole, low=kind.least, high=kind.most)
    if isinstance(kind, Share):
        return partial(cells.percent, most=kind.most)
    if isinstance(kind, Word):
        return partial(cells.one_of, choices=kind.words, code="unknown-units")
    own: Mapping[type[Kind], Callable[[str], Any]] = {
        YesNo: cells.flag, Day: cells.day, Currency: cells.currency_code,
        Text: partial(cells.free_text, longest=MOST_TITLE),
    }  # fmt: skip
    return own[type(kind)]


def _usual_sections(data: Mapping[str, object], faults: Faults, lines: Mapping[str, int]) -> dict[str, str]:
    record = _record(data, faults, lines, "usual_sections.")
    for role in data:
        if not _ROLE.fullmatch(role):
            record.fault(role, "not-a-role", "write the role in lower case, such as rail or end_board")
    if OTHER not in data:
        record.fault(OTHER, "missing-key", 'add the key other: the section of every role not named, such as "2x4"')
    chosen = {role: record.read(role, cells.free_text) for role in data}
    return {role: section for role, section in chosen.items() if section is not None}


def _record(data: Mapping[str, object], faults: Faults, lines: Mapping[str, int], group: str = "") -> Record:
    texts = {key: _text(group + key, value) for key, value in data.items()}
    record = Record("book", {key: text or "" for key, text in texts.items()}, faults, lines=lines, group=group)
    for key in (key for key, text in texts.items() if text is None):
        if data[key] is FAULTY:
            record.skip(key)
            continue
        record.fault(key, "wrong-type", _right_type(group + key), type_name(data[key]))
    return record


def _text(name: str, value: object) -> str | None:
    """Bring a value to text, or to nothing where it is of a wrong type."""
    if name in GROUPS:
        return "" if isinstance(value, Mapping) else None
    if name in FLAGS:
        return str(value).lower() if isinstance(value, bool) else None
    if value is None:
        return ""
    if isinstance(_KINDS.get(name), Day) and isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    if isinstance(_KINDS.get(name), Whole) and type(value) is int:
        return str(value) if abs(value) < 10**18 else "9" * 18
    return value if isinstance(value, str) else None


def _right_type(name: str) -> str:
    if name in GROUPS:
        return f"write it as a group of keys and values, [{name}]"
    if name in FLAGS:
        return "write true or false, without quotes"
    if isinstance(_KINDS.get(name), Day):
        return "write the date alone, such as 2026-11-01"
    kind = _KINDS.get(name)
    if isinstance(kind, Whole):
        return f"write a whole number of {kind.least} to {kind.most}"
    return "write it as text in quotes, with its unit if it has one"


def type_name(value: object) -> str:
    """Name what stands in place of a text."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        return repr(value) if abs(value) < 10**18 else "a number"
    names = {dict: "a group", list: "a list", str: "a text"}
    return next((name for kind, name in names.items() if isinstance(value, kind)), "another type")
