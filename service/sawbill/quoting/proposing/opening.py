"""The values that an open option may take: those written out, a range by steps, or what there is near or at all."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sawbill.asked.request import Pointer, Request
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.grid import Entry
from sawbill.quoting.proposing.asked import ANY, MOST_VALUES, NEAR, RANGE, USUALLY_OPEN
from sawbill.quoting.proposing.grid import Opened
from sawbill.quoting.ways_out.changes import Change, reading_of, single_changes
from sawbill.trade import option
from sawbill.trade.declaring.kinds import whole_of
from sawbill.trade.declaring.reading import OptionError, Reading
from sawbill.trade.declaring.shown import show
from sawbill.trade.design import Design, OptionFaultsError
from sawbill.trade.lengths import INCH, MM, LengthError, format_length, parse_length
from sawbill.trade.option import Option
from sawbill.trade.option.asked import Concern

MOST_IN_ONE: Final = 300
"""How many combinations are tried where somebody only asks for less."""
STEP_OF_ANY: Final = {"inch": INCH, "metric": 25 * MM}
"""The step in which any length is tried [nm]."""
_RANGE: Final = re.compile(r"(.+?) to (.+?)(?: by (.+))?")
Fault = Callable[[Pointer, str, str], None]


@dataclass(frozen=True, slots=True)
class Opener:
    """Opens the options of one design against one price book; request: what is asked beside its lines."""

    entry: Entry
    request: Request
    book: PriceBook
    fault: Fault

    @property
    def reading(self) -> Reading:
        """What options are read against."""
        return reading_of(self.book, self.request)

    def opened(self, raw: Mapping[str, Any] | None, at: Pointer) -> tuple[Opened, ...]:
        """Every open option with its values; None: the usual ones are open, to what is near."""
        asked = dict.fromkeys(usually_open(self.entry.design), NEAR) if raw is None else raw
        changes = (
            self._changes() if any(each in (ANY, NEAR) for each in asked.values() if isinstance(each, str)) else ()
        )
        found = []
        for each in self.entry.design.options:
            if each.name in asked and each.name not in self.entry.options:
                one = self._opened(each, asked[each.name], changes, (*at, each.name))
                found += [one] if one is not None else []
        return tuple(found)

    def _changes(self) -> Sequence[Change] | None:
        """What may be changed; None: options that are fixed have faults, which are told by themselves."""
        try:
            return single_changes(self.entry.design, self.entry.options, self.request, self.book)
        except OptionFaultsError:
            return None

    def _opened(self, each: Option, raw: Any, changes: Sequence[Change] | None, at: Pointer) -> Opened | None:
        usual = usual_of(each, self.reading)
        if isinstance(raw, str) and raw in (ANY, NEAR):
            values = self._there_is(each, raw, usual, changes, at)
        elif isinstance(raw, Mapping) and {*raw} <= {*RANGE}:
            values = self._range(each, raw, at)
        else:
            values = list(raw) if isinstance(raw, list) else self._parts(each, str(raw), at)
        known: dict[str, Any] = {}
        for i, value in enumerate(values):
            try:
                known.setdefault(repr(each.read(value, self.reading)), value)
            except OptionError as error:
                self.fault((*at, i) if isinstance(raw, list) else at, error.code, str(error))
        if len(known) > MOST_VALUES:
            detail = f"{each.name} has {len(known)} values; it may have {MOST_VALUES}: take a longer step"
            self.fault(at, "too-many", detail)
            return None
        if not known:
            return None
        places = [*known]
        mine = repr(each.start(self.reading))
        return Opened(each.name, tuple(known.values()), usual, places.index(mine) if mine in places else None)

    def _there_is(
        self, each: Option, word: str, usual: Any, changes: Sequence[Change] | None, at: Pointer
    ) -> list[Any]:  # fmt: skip
        """Of any: all that a change may lead to, of lengths and counts the whole range; near: one step from usual."""
        mine = [change for change in changes or () if change.option == each.name]
        if word == ANY and isinstance(each, option.Length):
            step, ends = STEP_OF_ANY[self.reading.system], (each.least, each.most)
            return [usual, *self._steps(each, ends[0], ends[1], step, at)]
        if word == ANY and isinstance(each, option.Count):
            return [*range(each.least, min(each.most, each.least + MOST_VALUES) + 1)]
        if not mine and changes is not None:
            detail = f"{each.name} is not left open to {word}: it says what the furniture is for; name its values"
            self.fault(at, "not-open", detail)
        return [usual, *(change.after for change in mine if word == ANY or change.far == 1)]

    def _parts(self, each: Option, text: str, at: Pointer) -> list[Any]:
        """A range in words, or values with commas between."""
        match = _RANGE.fullmatch(text.strip()) if isinstance(each, option.Length | option.Count) else None
        if match is not None:
            return self._range(each, {name: word for name, word in zip(RANGE, match.groups(), strict=True) if word}, at)
        return [part.strip() for part in text.split(",")]

    def _range(self, each: Option, raw: Mapping[str, Any], at: Pointer) -> list[Any]:
        missing = [name for name in ("from", "to") if name not in raw]
        if missing or not isinstance(each, option.Length | option.Count):
            what = f"lacks {missing[0]}" if missing else "is no length and no count; name its values"
            self.fault(at, "not-a-range", f"{each.name} {what}")
            return []
        if isinstance(each, option.Count):
            least, most, step = (raw.get(name, 1) for name in RANGE)
            numbers: list[Any] = [whole_of(x) if isinstance(x, str) else x for x in (least, most, step)]
            if not all(isinstance(x, int) and not isinstance(x, bool) for x in numbers) or numbers[2] < 1:
                self.fault(
                    at, "not-a-range", f"{each.name} is {show(dict(raw))}; a range of counts is of whole numbers"
                )
                return []
            return [*range(numbers[0], min(numbers[1], numbers[0] + MOST_VALUES * numbers[2]) + 1, numbers[2])]
        usual_step = STEP_OF_ANY[self.reading.system]
        try:
            least, most = parse_length(str(raw["from"])), parse_length(str(raw["to"]))
            step = parse_length(str(raw["step"])) if "step" in raw else usual_step
        except LengthError as error:
            self.fault(at, "not-a-length", f"{each.name}: {error}")
            return []
        return self._steps(each, least, most, step, at)

    def _steps(self, each: Option, least: int, most: int, step: int, at: Pointer) -> list[Any]:
        if step < MM or most < least:
            self.fault(
                at, "not-a-range", f"{each.name}: give from, to and a step of 1 mm or more, from no more than to"
            )
            return []
        values = range(least, min(most, least + MOST_VALUES * step) + 1, step)
        return [format_length(value, self.reading.system) for value in values]


def usually_open(design: Design) -> list[str]:
    """The options that are left open where none is named: its sections, then sizes of fasteners, then choices."""
    kinds: Sequence[Callable[[Option], bool]] = (
        lambda each: isinstance(each, option.Section), _of_bolts,
        lambda each: isinstance(each, option.Flag),
    )  # fmt: skip
    names = [each.name for kind in kinds for each in design.options if kind(each) and not each.stays]
    return names[:USUALLY_OPEN]


def _of_bolts(each: Option) -> bool:
    return isinstance(each, option.Choice) and each.fastener == "bolt"


def may_save(design: Design, asked: Collection[str], concern: Concern | None = None) -> list[str]:
    """The options that may make it cheaper, of those not asked for: what usually is, words, sections, bolts.

    So few that all they may be near what is usual can be tried at once. concern: those that ease it come first, and
    what usually is not is among them.
    """
    counted: list[tuple[str, int]] = []
    ease = {each.name for each in design.options if concern and each.eases == concern}
    for each in design.options:
        if each.name in asked or each.stays:
            continue
        if isinstance(each, option.Flag) and (each.default or each.name in ease):
            counted.append((each.name, 2))
        elif isinstance(each, option.Choice) and each.fastener is None:
            counted.append((each.name, len(each.choices)))
        elif isinstance(each, option.Section) or _of_bolts(each):
            counted.append((each.name, 3))
    found, ways = list[str](), 1
    for name, number in sorted(counted, key=lambda each: (each[0] not in ease, each[1])):
        if ways * number <= MOST_IN_ONE:
            found, ways = [*found, name], ways * number
    return found


def usual_of(each: Option, reading: Reading) -> Any:
    """What an unset option is, as it may be asked for."""
    told = each.describe(reading)["default"]
    if isinstance(told, bool):
        return "yes" if told else "no"
    return told["text"] if isinstance(told, Mapping) else told
