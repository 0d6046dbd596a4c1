"""The lines of a request: what is to be made, and what of it the request gives itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

from sawbill.asked.faults import Pointer
from sawbill.asked.offered import no_such_design
from sawbill.asked.reader import Reader
from sawbill.asked.wood import LUMBER, wood, wood_of
from sawbill.trade import fasteners
from sawbill.trade.declaring.kinds import Free, Length, Name, SectionName, Text, Whole, Word, Wrong
from sawbill.trade.declaring.members import Group, Member, Rows, members
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import INCH, MM, System, format_length
from sawbill.trade.lumber import Section

MOST_LINES: Final = 50
MOST_QUANTITY: Final = 1000
MOST_PARTS: Final = 500
MOST_HARDWARE: Final = 100_000
MOST_OPTIONS: Final = 100
LONGEST: Final = 20_000 * MM
SHORTEST: Final = MM
LONGEST_HARDWARE: Final = 40 * INCH
USUAL_LABEL: Final = "line {}"


class Need(NamedTuple):
    """One kind of hardware: its item, size, and length [nm] where it has one."""

    item: str
    size: str
    length: int | None

    def called(self, units: System) -> str:
        """What it is called, its length as a system has it."""
        length = "" if self.length is None else f" x {format_length(self.length, units)}"
        return f"{self.item} {self.size}{length}".strip()


@dataclass(frozen=True, slots=True)
class OwnPart:
    """A part that the request gives itself, by length [nm] and count; least: the shortest it may be cut [nm].

    species, grades: of the wood that will do, empty where the line's hold.
    """

    name: str
    section: Section
    length: int
    quantity: int
    least: int | None = None
    species: tuple[str, ...] = ()
    grades: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a request: so many of a frame, or of a list of own parts and hardware.

    species, grades: of the wood that will do, empty where the request's hold; options: of the design, as written.
    """

    label: str
    quantity: int
    design: str | None = None
    frame: Frame | None = None
    parts: tuple[OwnPart, ...] = ()
    hardware: tuple[tuple[Need, int], ...] = ()
    species: tuple[str, ...] = ()
    grades: tuple[str, ...] = ()
    options: Mapping[str, Any] = field(default_factory=dict, compare=False)


def quantity(help: str, example: int, most: int = MOST_QUANTITY) -> Member:
    """Declare how many of something are asked for."""
    return Member("quantity", Whole(1, most), help, example, default=1)


def _part(reader: Reader, at: Pointer, given: Mapping[str, Any]) -> OwnPart | None:
    section, length = given.get("section"), given.get("length")
    least = None
    if "shortest" in given:
        kind = Length(SHORTEST, length or LONGEST)
        least = reader.read((*at, "shortest"), lambda name: kind.read(name, given["shortest"], reader.reading))
    if section is None or length is None:
        return None
    return OwnPart(given.get("name", "part"), section, length, given.get("quantity", 1), least, *wood_of(given))


def _hardware(reader: Reader, at: Pointer, given: Mapping[str, Any]) -> tuple[Need, int] | None:
    """A fastener by the words of the trade, its size and length as it needs them."""
    item = given.get("item")
    if item is None:
        return None
    kind = fasteners.ITEMS[item]
    for key, wanted in (("size", kind.has_size), ("length", kind.has_length)):
        if wanted != bool(given.get(key)):
            code, has = ("missing", "a") if wanted else ("not-known", "no")
            reader.fault((*at, key), code, f"a {item} has {has} {key}")
    size = _late(reader, at, given, "size", Name(_FIND_SIZE.get(item, fasteners.find_bolt))) if kind.has_size else None
    length = _late(reader, at, given, "length", _HARDWARE_LENGTH) if kind.has_length else None
    return Need(item, size or "", length), given.get("quantity", 1)


def _late(reader: Reader, at: Pointer, given: Mapping[str, Any], key: str, kind: Name | Length) -> Any:
    """Read a member that was only checked, if something stands there."""
    raw = given.get(key)
    return reader.read((*at, key), lambda name: kind.read(name, raw, reader.reading)) if raw else None


_FIND_SIZE: Final[Mapping[str, Callable[[str], Any]]] = {
    "wood screw": fasteners.find_screw, "joist hanger": fasteners.find_hanger,
}  # fmt: skip
_HARDWARE_LENGTH: Final = Length(SHORTEST, LONGEST_HARDWARE)


def _line(reader: Reader, at: Pointer, given: Mapping[str, Any]) -> Line:
    """A line of a design, or of own parts and hardware."""
    frame = None
    if "design" in given:
        for key in ("parts", "hardware"):
            if key in given:
                detail = f"a line names a design or gives its own parts; move {key} to a line of its own"
                reader.fault((*at, key), "not-both", detail)
        frame = _frame(reader, at, given)
    elif not given.get("parts") and not given.get("hardware"):
        reader.fault(at, "missing", "the line names no design and gives no parts or hardware")
    elif "options" in given:
        reader.fault((*at, "options"), "not-both", "only a line with a design has options")
    return Line(
        given.get("label") or USUAL_LABEL.format(int(at[-1]) + 1), given.get("quantity", 1), given.get("design"), frame,
        tuple(given.get("parts", ())), tuple(given.get("hardware", ())), *wood_of(given.get("lumber", {})),
        dict(given.get("options", {})),
    )  # fmt: skip


def _frame(reader: Reader, at: Pointer, given: Mapping[str, Any]) -> Frame | None:
    name = given["design"]
    if name not in reader.designs:
        reader.fault((*at, "design"), "unknown-design", no_such_design(name, reader.designs))
        return None
    try:
        return reader.designs[name].frame(given.get("options", {}), reader.reading)
    except OptionFaultsError as error:
        for fault in error.faults:
            within = (fault.within,) if fault.within else ()
            reader.fault((*at, "options", fault.option, *within), fault.code, fault.message)
        return None


PART: Final = Group("PartAsked", "A part that the request gives itself.", members(
    Member("name", Text(), "What the cut list calls it.", "shelf"),
    Member("section", SectionName(), "The section it is cut from, by name.", "1x8", required=True),
    Member("length", Length(SHORTEST, LONGEST), "Its length, as text with its unit.", "30 in", required=True),
    quantity("How many, for each of the line's quantity; unset: 1.", 3),
    Member(
        "shortest", Length(SHORTEST, LONGEST),
        "The least length that will do: the answer's near misses tell what a shorter one saves; unset: its length.",
        "29 3/4 in", late=True,
    ),
    *wood("those of its line"),
), _part)  # fmt: skip
PIECE: Final = PART.but(
    "PieceAsked", "Pieces to be cut.", quantity("How many; unset: 1.", 3), *wood("those of the request")
)
HARDWARE: Final = Group("HardwareAsked", "Hardware that the request gives itself.", members(
    Member("item", Word(*fasteners.ITEMS), "Which piece of hardware it is.", "wood screw", required=True),
    Member("size", Text(), "Its size, for an item that has one.", "#8"),
    Member(
        "length", _HARDWARE_LENGTH, "Its length as text with its unit, for an item that has one.", "2 in", late=True
    ),
    quantity("How many, for each of the line's quantity; unset: 1.", 12, MOST_HARDWARE),
), _hardware)  # fmt: skip


class Lines(Rows):
    """The lines of a request, with so many own parts and so much hardware in all of them together."""

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        if (wrong := super().check(raw)) is not None:
            return wrong
        lines = [line for line in raw if isinstance(line, Mapping)]  # type: ignore[attr-defined]  # a list
        tables = (line.get(key) for line in lines for key in ("parts", "hardware"))
        count = sum(len(rows) for rows in tables if isinstance(rows, list))
        if count <= MOST_PARTS:
            return None
        return Wrong("too-many", f"have {count} entries of own parts and hardware together; they may have {MOST_PARTS}")


LINE: Final = Group("LineAsked", "One line: so many of a design, or of own parts and hardware.", members(
    Member("label", Text(), "What the line is called; unset: line and its number.", "guest room"),
    Member("design", Text(), "The design, by name; a line has a design, or own parts and hardware.", "slatted-bed"),
    Member(
        "options", Free(MOST_OPTIONS),
        "The design's options by name, each as text with its unit where it has one; GET /v1/designs/{design} "
        "lists them, with their JSON Schema.",
        {"mattress": "queen", "clear_height": "8 in"}, late=True,
    ),
    Member("parts", Rows(PART, MOST_PARTS), f"Own parts; all lines together have at most {MOST_PARTS} entries."),
    Member("hardware", Rows(HARDWARE, MOST_PARTS), "Own hardware, counted with the parts."),
    quantity("How many of the line; unset: 1.", 2),
    Member("lumber", LUMBER, "Which lumber will do for this line; what is unset is as the request says."),
), _line)  # fmt: skip
