"""A request of several lines as one form: the fields of each line, what they have in common, and the request again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any, Final

from sawbill.asked.lines import LINE
from sawbill.asked.pricing import PRICING
from sawbill.asked.request import SHOP, SITE
from sawbill.asked.wood import LUMBER_THAT_HOLDS
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.declaring.members import Member
from sawbill.trade.design import Design
from sawbill.web.http.languages import message
from sawbill.web.written.asking.page import as_written
from sawbill.web.written.asking.questions import HOW_MANY, MADE, Field, FieldGroup, Questions, Taken, questions

Typed = Mapping[str, str]
"""What stands in the fields, by their names."""
ADDED: Final = "added"
"""The field that lists the designs of lines that were added."""
GROUPS: Final[Mapping[str, Mapping[str, Member]]] = {
    "lumber": LUMBER_THAT_HOLDS.members, "shop": SHOP.members, "site": SITE.members, "pricing": PRICING.members,
}  # fmt: skip
OF_DESIGN: Final = ("site", "pricing")
"""The groups that are shown only where a line is of a design."""
ALONE: Final = ("price_book", "units")


@dataclass(frozen=True, slots=True)
class LineAsked:
    """A line as it is asked for: fields of its own and, where it is of a design, those of its options.

    out: the field that leaves it out; left_out: whether that is ticked; pieces: how many it gives itself.
    """

    title: str
    fields: tuple[Field, ...]
    groups: tuple[FieldGroup, ...]
    out: str
    left_out: bool
    pieces: int = 0

    @property
    def faulty(self) -> bool:
        """Whether anything is wrong in it."""
        return any(each.faults for each in self.fields) or any(group.faulty for group in self.groups)


def name_of(place: int, name: str) -> str:
    """The name of a field of a line, which is counted from 1 as people do."""
    return f"line-{place + 1}-{name}"


def lines_of(raw: Mapping[str, Any], typed: Typed) -> list[dict[str, Any]]:
    """The lines of a request, and those that were added to it in the form."""
    added = [{"design": name} for name in typed.get(ADDED, "").split(",") if name]
    return [*deepcopy(raw["lines"]), *added]


def has_design(raw: Mapping[str, Any], typed: Typed, designs: Mapping[str, Design]) -> bool:
    """Whether any line is of a design, left out or not, so that the form shows what is asked beside a design."""
    return any(line.get("design") in designs for line in lines_of(raw, typed))


def filled(raw: Mapping[str, Any]) -> dict[str, str]:
    """What stands in the fields before anybody changes them."""
    typed = {name: as_written(raw.get(name)) for name in ALONE}
    typed |= {name: as_written(raw.get(group, {}).get(name)) for group, members in GROUPS.items() for name in members}
    for place, line in enumerate(raw["lines"]):
        told = {**line.get("options", {}), "label": line.get("label"), "quantity": line.get("quantity")}
        typed |= {name_of(place, name): as_written(value) for name, value in told.items()}
    return {name: text for name, text in typed.items() if text}


def asked(
    raw: Mapping[str, Any], typed: Typed, designs: Mapping[str, Design], book: PriceBook | None, books: Sequence[Taken],
    faults: Mapping[str, Sequence[str]],
) -> tuple[list[LineAsked], Questions]:  # fmt: skip
    """The fields of each line, and of what all lines have in common."""
    lines = lines_of(raw, typed)
    told = [_line(place, line, typed, designs, book, faults) for place, line in enumerate(lines)]
    named = [line["design"] for line in lines if line.get("design") in designs]
    own = {name for name in faults if name.startswith("line-")}
    common = {name: some for name, some in faults.items() if name not in own}
    found = questions(designs[named[0]] if named else None, typed, book, books, common)
    prices = tuple(each for each in found.prices.fields if each.name != "quantity")
    return told, replace(found, of_design=(), carried=(), prices=replace(found.prices, fields=prices))


def _line(
    place: int, line: Mapping[str, Any], typed: Typed, designs: Mapping[str, Design], book: PriceBook | None,
    faults: Mapping[str, Sequence[str]],
) -> LineAsked:  # fmt: skip
    start = name_of(place, "")
    given = {name.removeprefix(start): text for name, text in typed.items() if name.startswith(start)}
    wrong = {name.removeprefix(start): some for name, some in faults.items() if name.startswith(start)}
    design = designs.get(line.get("design", ""))
    fields = (
        Field("label", message("What it is called"), "", "text", given.get("label", ""),
              faults=tuple(wrong.get("label", ()))),
        Field("quantity", HOW_MANY, "", "number", given.get("quantity", ""), "1", MADE,
              faults=tuple(wrong.get("quantity", ()))),
    )  # fmt: skip
    groups = questions(design, given, book, (), wrong).of_design if design else ()
    title = given.get("label") or (design.title if design else f"Line {place + 1}")
    own = sum(each.get("quantity", 1) for each in line.get("parts", ()) if isinstance(each, dict))
    return LineAsked(
        title, tuple(_named(start, fields)),
        tuple(replace(group, fields=tuple(_named(start, group.fields))) for group in groups),
        start + "out", given.get("out") == "yes", own,
    )  # fmt: skip


def _named(start: str, fields: Sequence[Field]) -> Iterator[Field]:
    return (replace(each, name=start + each.name) for each in fields)


def request_of(raw: Mapping[str, Any], typed: Typed, designs: Mapping[str, Design]) -> tuple[dict[str, Any], list[int]]:
    """The request as it was changed, and which lines of the form it has.

    What no field can show stays as it was.
    """
    changed: dict[str, Any] = {name: deepcopy(value) for name, value in raw.items() if name != "lines"}
    changed |= {name: typed[name] for name in ALONE if name in typed}
    if "units" not in typed:
        changed.pop("units", None)
    lines, of_design = lines_of(raw, typed), has_design(raw, typed, designs)
    for group, members in GROUPS.items():
        shown = members if of_design or group not in OF_DESIGN else {}
        told = _changed(changed.get(group, {}), typed, {name: each.kind.from_text for name, each in shown.items()})
        changed.pop(group, None)
        changed |= {group: told} if told else {}
    places = [place for place in range(len(lines)) if typed.get(name_of(place, "out")) != "yes"]
    changed["lines"] = [_line_of(lines[place], place, typed, designs) for place in places]
    return changed, places


def _line_of(line: dict[str, Any], place: int, typed: Typed, designs: Mapping[str, Design]) -> dict[str, Any]:
    start = name_of(place, "")
    given = {name.removeprefix(start): text for name, text in typed.items() if name.startswith(start)}
    told = {name: value for name, value in line.items() if name not in ("label", "quantity", "options")}
    told |= {name: given[name] for name in ("label",) if name in given}
    if "quantity" in given:
        told["quantity"] = LINE.members["quantity"].kind.from_text(given["quantity"])
    if line.get("design") in designs:
        names = {option.name: str for option in designs[line["design"]].options}
        told["options"] = _changed(line.get("options", {}), given, names)
    return told


def _changed(before: Mapping[str, Any], typed: Typed, read: Mapping[str, Any]) -> dict[str, Any]:
    """Values as they were typed; what is shown and was emptied is gone, and what cannot be shown stays."""
    stays = {name: value for name, value in before.items() if name not in read or as_written(value) is None}
    return stays | {name: of(typed[name]) for name, of in read.items() if name in typed}


def field_of(pointer: str, places: Sequence[int]) -> str:
    """The field that a fault of the request belongs to; empty: none."""
    steps = pointer.strip("/").split("/")
    if steps[0] != "lines":
        return steps[0] if steps[0] in ALONE else steps[1] if steps[0] in GROUPS and len(steps) > 1 else ""
    if len(steps) < 3 or not steps[1].isdecimal() or int(steps[1]) >= len(places):
        return ""
    name = steps[3] if steps[2] == "options" and len(steps) > 3 else steps[2]
    return name_of(places[int(steps[1])], name)
