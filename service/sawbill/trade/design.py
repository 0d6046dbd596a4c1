"""A design: what it is called, what may be asked of it, and one pure function that builds its frame."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from sawbill.trade import lengths
from sawbill.trade.declaring.reading import OptionError, Reading
from sawbill.trade.declaring.shown import Json
from sawbill.trade.fasteners import bolt_sizes, screw_sizes
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import BySystem, System
from sawbill.trade.option import Choice, Count, Length, Option

NAME: Final = re.compile(r"[a-z]+(-[a-z0-9]+)*")
SYSTEMS: Final[tuple[System, ...]] = ("inch", "metric")
OPTION_NAME: Final = re.compile(r"[a-z]+(_[a-z0-9]+)*")


class RefusalError(ValueError):
    """A design's answer that these options cannot be built together: which option to change, and to what."""

    def __init__(self, option: str, message: str) -> None:
        super().__init__(message)
        self.option = option


@dataclass(frozen=True, slots=True)
class OptionFault:
    """One faulty option: where (a member of the value, if it has members), a stable code, what would be right."""

    option: str
    code: str
    message: str
    within: str | None = None


class OptionFaultsError(ValueError):
    """Every fault in the options of one design, at once."""

    def __init__(self, faults: Iterable[OptionFault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(fault.message for fault in self.faults))


class Options(Mapping[str, Any]):
    """The values of a design's options, each also an attribute: `options.clear_height`.

    system: what the shop measures in; step: to which its furniture is laid out [nm]. Our designs place every part and
    hole on it, and so does one that rounds what it divides by `at_least`, `at_most` or `near`. Sections keep their
    size: where one is no whole number of steps, as an inch section in a shop that measures in millimetres, what lies
    beside its far side is off the step by as much, and cut lengths are rounded in the take-off. asked: the names of
    those that were asked for; the others are as usual, and a design may choose better where that does not go with them.
    """

    __slots__ = ("__dict__", "_values", "asked", "step", "system")

    def __init__(
        self, values: Mapping[str, Any], system: System = "inch", step: int = 1, asked: Collection[str] | None = None
    ) -> None:
        self._values, self.system, self.step = dict(values), system, step
        self.asked = frozenset(values if asked is None else asked)
        self.__dict__.update(self._values)  # found at once: a design asks for its options hundreds of times

    def having(self, **values: object) -> Options:
        """The same options but for these."""
        return Options({**self._values, **values}, self.system, self.step, self.asked)

    def at_least(self, length: int | BySystem) -> int:
        """A length that must not be less, as whole steps [nm]."""
        return lengths.round_up(self._said(length), self.step)

    def at_most(self, length: int | BySystem) -> int:
        """A length that must not be more, as whole steps [nm]."""
        return lengths.round_down(self._said(length), self.step)

    def near(self, length: int | BySystem) -> int:
        """A length that may be a little more or less, as whole steps [nm]."""
        return lengths.round_near(self._said(length), self.step)

    def _said(self, length: int | BySystem) -> int:
        return length if isinstance(length, int) else length[self.system]

    def __getattr__(self, name: str) -> Any:
        raise AttributeError(f"the design declares no option {name!r}")

    def __getitem__(self, name: str) -> Any:
        return self._values[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)


@dataclass(frozen=True, slots=True)
class Design:
    """A kind of furniture that can be quoted.

    name: with hyphens; title, summary: for people; options: what may be asked; references: the standards and
    practices it follows; build: options in, frame out, always the same for the same options. `build` may raise
    RefusalError for options that cannot stand together.
    """

    name: str
    title: str
    summary: str
    options: tuple[Option, ...]
    build: Callable[[Options], Frame]
    references: tuple[str, ...] = field(default=())

    def read(self, raw: Mapping[str, object], reading: Reading) -> Options:
        """Turn written option values into options, unset ones into their defaults.

        Raises OptionFaultsError: with every faulty and every unknown option.
        """
        known = {option.name: option for option in self.options}
        faults = [_unknown(self, name, known) for name in raw if name not in known]
        values = {}
        for name, option in known.items():
            try:
                values[name] = option.read(raw[name], reading) if name in raw else option.start(reading)
            except OptionError as error:
                faults.append(OptionFault(name, error.code, str(error), error.within))
        if faults:
            raise OptionFaultsError(faults)
        return Options(values, reading.system, reading.tape, raw)

    def frame(self, raw: Mapping[str, object], reading: Reading) -> Frame:
        """Build the frame for written options. Raises OptionFaultsError, also for a refusal by the design."""
        options = self.read(raw, reading)
        try:
            return self.build(options)
        except RefusalError as refusal:
            raise OptionFaultsError([OptionFault(refusal.option, "refused", str(refusal))]) from None

    def schema(self) -> Json:
        """JSON Schema of the object `options` of a request."""
        return {
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "title": f"Options of {self.name}",
            "type": "object",
            "properties": {o.name: {"title": o.label, "description": o.help, **o.schema()} for o in self.options},
            "additionalProperties": False,
        }

    def faults(self) -> list[str]:
        """What is wrong with the declaration itself; empty when it may be offered."""
        names = [option.name for option in self.options]
        found = [] if NAME.fullmatch(self.name) else [f"its name {self.name!r} is not lower-case letters and hyphens"]
        found += [
            f"option {name!r} is not lower-case letters and underscores"
            for name in names
            if not OPTION_NAME.fullmatch(name)
        ]
        found += [f"option {name!r} is declared twice" for name in sorted({n for n in names if names.count(n) > 1})]
        found += [f"option {name!r} has a name that `Options` needs itself" for name in names if hasattr(Options, name)]
        found += [f"option {option.name!r} has no help" for option in self.options if not option.help.strip()]
        found += [
            f"option {option.name!r}: {fault}" for option in self.options for fault in sorted(_default_faults(option))
        ]
        found += [
            f"option {option.name!r} has sizes of no {option.fastener}: {', '.join(unknown)}"
            for option in self.options
            if isinstance(option, Choice) and (unknown := _unlisted(option))
        ]
        found += [f"it has no {word}" for word in ("title", "summary", "references") if not getattr(self, word)]
        return found


def _unlisted(option: Choice) -> list[str]:
    """The words of a choice of sizes that are none of its fastener."""
    if option.fastener is None:
        return []
    listed = bolt_sizes() if option.fastener == "bolt" else screw_sizes()
    return [word for word in option.choices if word not in listed]


def _default_faults(option: Option) -> set[str]:
    """Why a default is none of the values that may be asked for, in either system."""
    found = set()
    for system in SYSTEMS:
        try:
            default = option.start(Reading(system, lambda role: "2x4"))
        except OptionError as error:
            found.add(str(error))
            continue
        if isinstance(option, Length | Count) and not option.least <= default <= option.most:  # type: ignore[operator]  # alike
            found.add("its default is out of its range")
        if isinstance(option, Choice) and default not in option.choices:
            found.add("its default is none of its choices")
    return found


def _unknown(design: Design, name: str, known: Mapping[str, Option]) -> OptionFault:
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]}?" if near else f"it has {', '.join(known)}"
    return OptionFault(name[:60], "unknown-option", f"{design.name} has no option {name[:60]}; {hint}")
