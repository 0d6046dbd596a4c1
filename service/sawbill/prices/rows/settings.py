"""The settings of a price book: book.toml, or what stands beside the tables in the JSON object."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import partial
from types import MappingProxyType
from typing import Any, Final

from sawbill.prices.pricebook import MOST_EXTRA, MOST_OFFCUT_VALUE, OTHER, Shop
from sawbill.prices.rows import cells
from sawbill.prices.rows.columns import SETTINGS, SHOP, Columns
from sawbill.prices.rows.faults import Faults
from sawbill.prices.rows.record import Record
from sawbill.trade.lengths import FOOT, INCH, MM, System
from sawbill.trade.lumber import section as find_section

MAX_SPARE_BOARDS: Final = 100

# Least and greatest value of each length of the shop [nm]: wide enough for any saw and any lorry.
_SHOP_LENGTHS: Final = {
    "kerf": (0, INCH),
    "end_trim": (0, 12 * INCH),
    "rounding_step": (MM // 10, INCH),
    "keep_offcut": (0, 20 * FOOT),
    "longest_board": (FOOT, 100 * FOOT),
}
FLAGS: Final = ("prices_include_tax", "sample", "shop.no_slivers", "shop.yard_cuts")
GROUPS: Final = ("usual_sections", "shop")
_NO_LINES: Final[Mapping[str, int]] = MappingProxyType({})
_ROLE: Final = re.compile(r"[a-z][a-z0-9_]{0,39}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Heading:
    """What a price book says of itself."""

    title: str
    units: System
    currency: str
    tax_rate: Decimal
    prices_include_tax: bool
    as_of: date
    sample: bool
    shop: Shop


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings as far as they could be read: None stands for what is among the faults.

    lines: the line of each key in its file, where it came from one.
    """

    heading: Heading | None
    units: System | None
    currency: str | None
    usual_sections: Mapping[str, str]
    lines: Mapping[str, int]


def read_settings(data: Mapping[str, object], faults: Faults, lines: Mapping[str, int] = _NO_LINES) -> Settings:
    """Read the settings from TOML or JSON values; lines: the line of each key, if known."""
    record = _record(data, faults, lines)
    record.check_names(SETTINGS, "key")
    units = record.read("units", _units)
    currency = record.read("currency", cells.currency_code)
    shop, usual = data.get("shop"), data.get("usual_sections")
    heading = record.build(
        Heading,
        title=record.read("title", partial(cells.free_text, longest=cells.MAX_TEXT)),
        units=units,
        currency=currency,
        tax_rate=record.read("tax_rate", cells.percent),
        prices_include_tax=record.read("prices_include_tax", cells.flag),
        as_of=record.read("as_of", cells.day),
        sample=record.read("sample", cells.flag),
        shop=_shop(shop, units or "metric", faults, lines) if isinstance(shop, Mapping) else None,
    )
    sections = _usual_sections(usual, faults, lines) if isinstance(usual, Mapping) else {}
    return Settings(heading, units, currency, sections, lines)


def read_shop(data: Mapping[str, object], base: Shop, units: System) -> Shop:
    """Change some of a shop's settings, by the keys of a book's [shop].

    units: the system in which limits are told.
    Raises BookFaultsError: unknown keys, values out of range or of a wrong type.
    """
    faults = Faults()
    shop = _shop(data, units, faults, _NO_LINES, base)
    faults.raise_if_any()
    return shop or base


def _shop(
    data: Mapping[str, object],
    units: System,
    faults: Faults,
    lines: Mapping[str, int],
    base: Shop | None = None,
) -> Shop | None:
    record = _record(data, faults, lines, "shop.")
    record.check_names(SHOP if base is None else Columns((), SHOP.all), "key")

    def length(key: str) -> int | None:
        low, high = _SHOP_LENGTHS[key]
        reader = partial(cells.length, low=low, high=high, units=units)
        unset = base is not None or key in SHOP.optional
        return record.read_if_any(key, reader) if unset else record.read(key, reader)

    given = {
        "kerf": length("kerf"),
        "end_trim": length("end_trim"),
        "step": length("rounding_step"),
        "keep_offcut": length("keep_offcut"),
        "longest_board": length("longest_board"),
        "spare_boards": record.read_if_any("spare_boards", partial(cells.whole, low=0, high=MAX_SPARE_BOARDS)),
        "offcut_value": record.read_if_any("offcut_value", partial(cells.percent, most=MOST_OFFCUT_VALUE)),
        "extra_for_fewer_setups": record.read_if_any("extra_for_fewer_setups", partial(cells.percent, most=MOST_EXTRA)),
        "no_slivers": record.read_if_any("no_slivers", cells.flag),
        "yard_cuts": record.read_if_any("yard_cuts", cells.flag),
    }
    return record.build(_changed, base=base, given={key: value for key, value in given.items() if value is not None})


def _changed(base: Shop | None, given: Mapping[str, Any]) -> Shop:
    old = {} if base is None else {key: getattr(base, key) for key in Shop.__dataclass_fields__}
    return Shop(**{**old, **given})


def _usual_sections(data: Mapping[str, object], faults: Faults, lines: Mapping[str, int]) -> dict[str, str]:
    record = _record(data, faults, lines, "usual_sections.")
    for role in data:
        if not _ROLE.fullmatch(role):
            record.fault(role, "not-a-role", "write the role in small letters, such as rail or end_board")
    if OTHER not in data:
        record.fault(OTHER, "missing-key", 'add the key other: the section of every role not named, such as "2x4"')
    chosen = {role: record.read(role, partial(cells.found, find=find_section, code="unknown-section")) for role in data}
    return {role: section.name for role, section in chosen.items() if section is not None}


def _record(data: Mapping[str, object], faults: Faults, lines: Mapping[str, int], group: str = "") -> Record:
    texts = {key: _text(group + key, value) for key, value in data.items()}
    record = Record("book", {key: text or "" for key, text in texts.items()}, faults, lines=lines, group=group)
    for key in (key for key, text in texts.items() if text is None):
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
    if name == "as_of" and isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    if name == "shop.spare_boards" and type(value) is int:
        return str(value) if abs(value) < 10**18 else "9" * 18
    return value if isinstance(value, str) else None


def _right_type(name: str) -> str:
    if name in GROUPS:
        return f"write a group of keys and values, [{name}]"
    if name in FLAGS:
        return "write true or false, without quotes"
    if name == "as_of":
        return "write the date alone, such as 2026-11-01"
    if name == "shop.spare_boards":
        return f"write a whole number of 0 to {MAX_SPARE_BOARDS}"
    return "write it as text in quotes, with its unit where it has one"


def type_name(value: object) -> str:
    """Name what stands in place of a text."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        return repr(value) if abs(value) < 10**18 else "a number"
    names = {dict: "a group", list: "a list", str: "a text"}
    return next((name for kind, name in names.items() if isinstance(value, kind)), "another type")


def _units(text: str) -> System:
    return "inch" if cells.one_of(text, ("inch", "metric"), "unknown-units") == "inch" else "metric"
