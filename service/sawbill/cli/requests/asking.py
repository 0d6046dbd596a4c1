"""What a command asks for: its words put together as a request, and where each value of that was written.

A request is the JSON that the service takes too, so the engine reads both alike and finds every fault at once. A fault
is told at the option, or in the file, that its value came from.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, NamedTuple, NoReturn

from sawbill.asked.request import RequestFault
from sawbill.cli.options.books import SAMPLE
from sawbill.cli.options.declared import Field, fields
from sawbill.cli.output.ending import INPUT, NO, USAGE, misused, refuse
from sawbill.cli.requests.inputs import Input, Table
from sawbill.trade.declaring.members import Member
from sawbill.web.http.problems import Problem, pointer_text

Words = Mapping[str, Any]
"""The words of a command, by the names of its options."""
Pointer = tuple[str | int, ...]
MISSING: Final = "give at least one"


class Place(NamedTuple):
    """Where a value was written: in words, and whether in the command itself."""

    text: str
    in_command: bool


class Asking:
    """A request as it is put together. raw: its JSON; faults: found on the way."""

    def __init__(self, file: str | None = None) -> None:
        """Begin with the request in a file, if one is named."""
        self.raw: dict[str, Any] = {}
        self.faults: list[RequestFault] = []
        self._places: dict[Pointer, Place] = {}
        self._unread: set[str] = set()
        if file is not None:
            self.begin(Input(file))

    def begin(self, request: Input) -> None:
        """Begin with a request that was read."""
        self.raw = request.request()
        self._places[()] = Place(request.called, False)

    def put(self, pointer: Pointer, value: Any, place: str, *, in_command: bool = True) -> None:
        """Set a value, in place of what a file may say; place: where it was written."""
        found: Any = self.raw
        for step in pointer[:-1]:
            if isinstance(found, dict):
                found = found.setdefault(step, {})
            else:
                found = found[step] if isinstance(found, list) and isinstance(step, int) else {}
        if isinstance(found, dict):  # what a file has instead is at fault, and told
            found[pointer[-1]] = value
        self._places[pointer] = Place(place, in_command)

    def beside_it(self, name: str, place: str) -> None:
        """Tell where something is written that is asked for beside the request."""
        self._places[name,] = Place(place, True)

    def add(self, name: str, value: Any, place: str, *, in_command: bool = True) -> Pointer:
        """Add an entry to a list, after what a file may have in it; give where it stands."""
        entries = self.raw.setdefault(name, [])
        if not isinstance(entries, list):
            return (name, 0)
        entries.append(value)
        pointer = (name, len(entries) - 1)
        self._places[pointer] = Place(place, in_command)
        return pointer

    def fault(self, place: str, detail: str, *, in_command: bool = True) -> None:
        """Note a fault of what was written."""
        self.faults.append(RequestFault((place,), "written", detail))
        self._places[place,] = Place(place, in_command)

    def prices(self, name: str | None) -> None:
        """Take the price book that is named, that of the file, or a sample."""
        if name is not None:
            self.put(("price_book",), name, "--prices")
        else:
            self.raw.setdefault("price_book", SAMPLE)

    def fields(self, words: Words, *groups: str) -> None:
        """Take the values of declared fields, each by the option of its name."""
        for group in groups:
            for field in fields(group):
                if (value := words.get(field.name)) is not None:
                    self.put((group, field.name), field.value(value), field.option)

    def written(self, words: Words, members: Iterable[Member], at: Pointer = (), **options: str) -> None:
        """Take the values of members, each by the option of its name; options: the names of those that have others."""
        for member in members:
            option = options.get(member.name, member.name)
            if (text := words.get(option)) is not None:
                self.put((*at, member.name), member.kind.from_text(text), f"--{option.replace('_', '-')}")

    def named(self, pointer: Pointer, option: str, settings: Iterable[str]) -> None:
        """Take values that are written NAME=VALUE, with an option that may be repeated."""
        for name, value in self.pairs(option, settings).items():
            self.put((*pointer, name), value, f"{option} {name}")

    def pairs(self, option: str, settings: Iterable[str]) -> dict[str, str]:
        """Read NAME=VALUE several times; a name may be set once."""
        found: dict[str, str] = {}
        for setting in settings:
            name, equals, value = setting.partition("=")
            if not equals or not name:
                self.fault(f"{option} {setting}", "write it as NAME=VALUE, with no space beside the =")
            elif name in found:
                self.fault(f"{option} {name}", f"{name} is set twice; set it once")
            else:
                found[name] = value
        return found

    def bounds(self, name: str, words: Words) -> None:
        """Take the least and the most of numbers, each written NAME=NUMBER."""
        for end in ("least", "most"):
            for of, value in self.pairs(f"--{end}", words[end]).items():
                self.put((name, of, end), value, f"--{end} {of}")

    def rows(self, name: str, file: str | None, fields: Sequence[Field], answer: str = "") -> None:
        """Add the rows of a file to a list; answer: the list of a whole answer that may stand there."""
        if file is not None:
            self.take(name, Input(file).table(fields, answer))

    def beside(self, words: Words) -> None:
        """Take what quotes and comparisons hold beside what is made: what the maker has, his own times, the units."""
        self.named(("rates",), "--rate", words["rate"])
        self.rows("on_hand", words["on_hand"], fields("on_hand"), "leftovers")
        for name in ("owned_hardware", "owned_supplies"):
            self.rows(name, words[name], fields(name))
        if words["units"]:
            self.put(("units",), words["units"], "--units")

    def take(self, name: str, table: Table) -> None:
        """Add rows that were read to a list; of a table at fault it is not told that it is empty too."""
        if table.faults:
            self._unread.add(pointer_text((name,)))
        for place, row in table.rows:
            self.add(name, row, place, in_command=False)
        self.faults_of(table)

    def faults_of(self, table: Table) -> None:
        """Note what is wrong with a table that was read."""
        for place, detail in table.faults:
            self.fault(place, detail, in_command=False)

    def place(self, pointer: str) -> Place:
        """Tell where the value at a place of the request (RFC 6901) was written."""
        known = [each for each in self._places if f"{pointer}/".startswith(f"{pointer_text(each)}/")]
        if not known:
            return Place("", True)
        nearest = max(known, key=len)
        found, rest = self._places[nearest], pointer.removeprefix(pointer_text(nearest))
        if found.in_command or not rest:
            return found
        return Place(f"{found.text}, {rest if nearest == () else rest.strip('/')}", False)

    def refuse(self, problem: Problem) -> NoReturn:
        """End for what is wrong, each fault on a line with where it was written."""
        if problem.kind == "cannot-be-bought":
            refuse((error["detail"] for error in problem.errors), NO)
        errors = [each for each in problem.errors if _pointer(each) not in self._unread]
        places = [self.place(_pointer(each)) for each in errors]
        lines = [_told(*each) for each in zip(places, errors, strict=True)] or [problem.detail]
        if " of which " in problem.detail:
            lines.append(problem.detail)
        refuse(lines, USAGE if any(place.in_command for place in places) else INPUT)


def of_several(words: Words) -> Asking:
    """Begin a request about several designs and price books, with what is asked of all of them alike."""
    asking = Asking(words["request"])
    for design in words["design"]:
        asking.add("designs", design, "DESIGN")
    if not asking.raw.get("designs"):
        misused(["name at least one DESIGN, or a --request that does"])
    for name in words["prices"] or ([] if "price_books" in asking.raw else [SAMPLE]):
        asking.add("price_books", name, "--prices")
    asking.fields(words, "shop", "lumber", "site", "pricing")
    asking.beside(words)
    return asking


def _told(place: Place, error: Mapping[str, Any]) -> str:
    """A fault with its place, which stands for the name of the value where the fault begins with that."""
    name, detail = _pointer(error).rpartition("/")[2], error["detail"]
    rest = detail.removeprefix(name)
    if not place.text:
        return str(detail)
    return f"{place.text}{rest}" if rest.startswith((" is ", ": ")) else f"{place.text}: {detail}"


def _pointer(error: Mapping[str, Any]) -> str:
    """Where a fault is: in the request, or of what is asked beside it."""
    return error.get("pointer") or pointer_text((error["parameter"],) if "parameter" in error else ())
