"""What may be changed of a line's options to mend a check: one step from what is asked, or a section that is sold.

Nothing goes below what the options usually are where no check tells what that costs: sections, sizes of fasteners and
counts are never less than the lesser of the usual and what is asked for. What an option declares to be what the
furniture is for, such as a mattress or a market, stays.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any, Final

from sawbill.asked.request import Request
from sawbill.buying.lots import material_of
from sawbill.checks.carrying import RULES as CARRYING
from sawbill.checks.resistance.wood import graded
from sawbill.prices.pricebook import PriceBook
from sawbill.trade import fasteners, lumber, option
from sawbill.trade.declaring.reading import Reading
from sawbill.trade.design import Design, Options
from sawbill.trade.lengths import INCH, MM, format_length
from sawbill.trade.option import Option

STEPS: Final = {"inch": (INCH // 2, INCH), "metric": (10 * MM, 25 * MM)}
"""By how much a length is changed [nm]."""


@dataclass(frozen=True, slots=True)
class Change:
    """An option that is changed, as it is written before and after; far: how many steps that is."""

    option: str
    before: str
    after: str
    far: int


BETTER_BOARDS: Final = Change("must_hold", "no", "yes", 0)
"""What is asked of the boards, and no option of a design."""


def reading_of(book: PriceBook, request: Request) -> Reading:
    """What options are read against, in the shop of a request."""
    return Reading(book.units, book.usual_section, book.section, request.shop.rounding_step)


def single_changes(design: Design, asked: Mapping[str, Any], request: Request, book: PriceBook) -> list[Change]:
    """Every change of one option, the nearest first, each in the order of the design.

    Back to what an option usually is, comes before all others.
    """
    reading = reading_of(book, request)
    values = design.read(asked, reading)
    found = list[Change]()
    for each in design.options:
        changes = {change.after: change for change in _changes(each, values, request, book, reading)}
        for change in _to_usual(each, values, reading):
            if change.after in changes or isinstance(each, option.Length | option.Count):
                changes[change.after] = change
        found += changes.values()
    return sorted(found, key=lambda change: change.far)


def _to_usual(each: Option, values: Options, reading: Reading) -> Iterator[Change]:
    """The change of an option to what it usually is, where it is something else, and may be changed at all."""
    value = values[each.name]
    if isinstance(each, option.Section | option.Length | option.Count | option.Choice) and not each.stays:
        now, usual = (_written(each, it, reading) for it in (value, each.start(reading)))
        if now != usual:
            yield Change(each.name, now, usual, 0)


def _written(each: Option, value: Any, reading: Reading) -> str:
    """A section, a length, a count or a word, as changes have it."""
    if isinstance(value, lumber.Section):
        return value.name
    return format_length(value, reading.system) if isinstance(each, option.Length) else str(value)


def easing(design: Design, rule: str) -> frozenset[str]:
    """The options that ease what a rule is about, as their design says."""
    return frozenset(each.name for each in design.options if each.eases == "carrying" and rule in CARRYING)


def pairs(changes: Sequence[Change], easing: Collection[str] = ()) -> list[tuple[Change, Change]]:
    """Every two changes of unlike options, those with an option that eases it first, then the nearest."""
    both = [(one, other) for one, other in combinations(changes, 2) if one.option != other.option]

    def far(pair: tuple[Change, Change]) -> tuple[bool, int]:
        return all(each.option not in easing for each in pair), pair[0].far + pair[1].far

    return sorted(both, key=far)


def _changes(
    each: Option, values: Options, request: Request, book: PriceBook, reading: Reading
) -> Iterator[Change]:  # fmt: skip
    value = values[each.name]
    if each.stays:
        return
    if isinstance(each, option.Flag):
        yield Change(each.name, _yes(value), _yes(not value), 1)
    elif isinstance(each, option.Count):
        least = max(each.least, min(each.default, value))
        for far in (1, 2):
            for other in (value + far, value - far):
                if least <= other <= each.most:
                    yield Change(each.name, str(value), str(other), far)
    elif isinstance(each, option.Length):
        written = format_length(value, reading.system)
        for far, step in enumerate(STEPS[reading.system], 1):
            for other in (value + step, value - step):
                if each.least <= other <= each.most:
                    yield Change(each.name, written, format_length(other, reading.system), far)
    elif isinstance(each, option.Section):
        yield from _sections(each, value, request, book, reading)
    elif isinstance(each, option.Choice):
        yield from _choices(each, str(value), book, reading)


def _choices(each: option.Choice, value: str, book: PriceBook, reading: Reading) -> Iterator[Change]:
    """Other words of a choice; of sizes those that are sold, no smaller than usual."""
    if each.fastener is None:
        yield from (Change(each.name, value, word, 1) for word in each.choices if word != value)
        return
    sold = {offer.size for offer in book.hardware}
    least = min(_size(each.start(reading)), _size(value))
    larger = sorted((word for word in each.choices if word in sold and _size(word) >= least), key=_size)
    yield from _by_place(each.name, value, [*dict.fromkeys([*larger, value])], _size)


def _sections(
    each: option.Section, value: lumber.Section, request: Request, book: PriceBook, reading: Reading
) -> Iterator[Change]:
    """Sections on sale whose wood some table knows, no thinner and no narrower than usual."""
    usual = each.start(reading)
    thick, wide = min(usual.thickness, value.thickness), min(usual.width, value.width)
    sold = {
        offer.section.name: offer.section
        for offer in book.lumber
        if offer.section.thickness >= thick and offer.section.width >= wide
        and (not request.species or offer.species in request.species)
        and (not request.grades or offer.grade in request.grades) and graded(material_of(offer)) is not None
    } | {value.name: value}  # fmt: skip

    def size(name: str) -> tuple[int, int]:
        return sold[name].width * sold[name].thickness, sold[name].width

    yield from _by_place(each.name, value.name, list(sold), size)


def _by_place(name: str, value: str, words: Sequence[str], size: Any) -> Iterator[Change]:
    """Changes to words by how many places they are from the present one, in order of size."""
    order = sorted(words, key=size)
    here = order.index(value)
    for place, word in enumerate(order):
        if word != value:
            yield Change(name, value, word, abs(place - here))


def _size(word: str) -> int:
    """How thick a fastener of a size is [nm]."""
    bolts = fasteners.bolt_sizes()
    return bolts[word].diameter if word in bolts else fasteners.screw_sizes()[word].diameter


def _yes(value: bool) -> str:  # a value to be written
    return "yes" if value else "no"
