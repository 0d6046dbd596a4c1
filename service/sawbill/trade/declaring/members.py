"""What a caller may write, declared once: groups of members, each with its name, kind, meaning and an example.

From a group come its reader (`asked.reader`), its schema and the parameters of a query (`web.schemas.declared`), and,
for the shop's settings, what a price book may say of them (`prices.rows.settings`). A group whose members are fields of
a value is declared on that value's class, each field with `asked`.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final

from sawbill.trade.declaring.headings import WHAT, Headed, Heading
from sawbill.trade.declaring.kinds import Free, Kind, Wrong
from sawbill.trade.declaring.shown import Json, show
from sawbill.trade.lengths import System

_MEMBER: Final = "asked"
NEEDED: Final = dataclasses.MISSING
"""The default of what has none."""


@dataclass(frozen=True)
class Member(Headed):
    """One member of a group: how it is written, what it means, an example of it.

    default: what it is where it is left out, NEEDED where nothing is; required: a request may not leave it out;
    nullable: null and an empty text say the same as to leave it out; late: it is only checked with the others, for what
    it may be depends on them; always: a price book tells it though it is as by default, for older ones did.
    """

    kind: Kind
    help: str
    example: Any = None
    default: Any = None
    required: bool = False
    nullable: bool = False
    late: bool = False
    always: bool = False

    @property
    def needed(self) -> bool:
        """Whether nothing stands for it where it is left out."""
        return self.default is NEEDED


@dataclass(frozen=True)
class Group(Kind):
    """An object of a request: an unknown key is refused, with those that are known.

    title: of its schema; make: makes its value from those of its members, with the reader and the group's place at
    hand. Its value is the mapping of them where there is none.
    """

    title: str
    help: str
    members: Mapping[str, Member]
    make: Callable[[Any, Any, dict[str, Any]], Any] | None = field(default=None, compare=False)

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        return None if isinstance(raw, Mapping) else Wrong("not-an-object", "must be an object")

    def but(self, title: str, help: str, *others: Member) -> Group:
        """Give a group like this one, with some members more or in place of those of their names."""
        return dataclasses.replace(self, title=title, help=help, members={**self.members, **members(*others)})


@dataclass(frozen=True)
class Rows(Kind):
    """A list of at most so many entries, which are read only when there are no more; help, example: of an entry."""

    inner: Kind
    most: int
    help: str = ""
    example: Any = None

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        if not isinstance(raw, list):
            return Wrong("not-a-list", f"is {show(raw)}; it must be a list")
        if len(raw) > self.most:
            return Wrong("too-many", f"has {len(raw)} entries; it may have {self.most}")
        return None

    def from_text(self, text: str, between: str = ",") -> list[Any]:
        """Take the entries apart."""
        return [self.inner.from_text(part.strip()) for part in text.split(between)]

    def text(self, value: Iterable[Any], system: System) -> str:
        """Write the entries with commas between."""
        return ", ".join(self.inner.text(each, system) for each in value)

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help."""
        inner = self.inner.describe(system)
        return inner | {"unit": "some of the choices" if "choices" in inner else f"list, each a {inner['unit']}"}


@dataclass(frozen=True)
class Either(Kind):
    """An object of a group, or a value of another kind; words: what that is called."""

    group: Group
    other: Kind
    words: str
    examples: Sequence[Any] = ()

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        if isinstance(raw, Mapping) or self.other.check(raw) is None:
            return None
        return Wrong("not-text", f"is {show(raw)}; it must be {self.words} or an object")

    def from_text(self, text: str, between: str = ",") -> Any:
        """Take a value that is no object."""
        return self.other.from_text(text, between)

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        either = [self.other.schema(), {"$ref": f"#/components/schemas/{self.group.title}"}]
        return {"anyOf": either, "examples": [*self.examples]}


@dataclass(frozen=True)
class Table(Kind):
    """An object of at most so many keys, which may be any, each with a value of a kind that somebody else reads."""

    inner: Kind
    most: int

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        return Free(self.most).check(raw)

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {**Free(self.most).schema(), "additionalProperties": self.inner.schema()}


def asked(kind: Kind, help: str, example: Any, default: Any = NEEDED, **more: Any) -> Any:
    """Declare a field of a value as a member of a request; more: what else a `Member` tells."""
    return dataclasses.field(default=default, metadata={_MEMBER: (kind, help, example, more)})


def members_of(made: type, heading: Heading = WHAT) -> Mapping[str, Member]:
    """Give the members that are declared on a value's class, by name; heading: of those that name none themselves."""
    return members(*(_member(each, heading) for each in dataclasses.fields(made) if _MEMBER in each.metadata))


def _member(declared: dataclasses.Field[Any], heading: Heading) -> Member:
    kind, help, example, more = declared.metadata[_MEMBER]
    return Member(declared.name, kind, help, example, declared.default, **{"heading": heading, **more})


def members(*listed: Member) -> Mapping[str, Member]:
    """Put members in a table by their names."""
    return MappingProxyType({each.name: each for each in listed})
