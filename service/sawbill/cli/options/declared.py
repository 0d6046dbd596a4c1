"""What a request may hold, as options of a command and columns of a table: each made from its declaration."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sawbill.cli.options.groups import Option
from sawbill.trade.declaring.kinds import Length, YesNo
from sawbill.trade.declaring.members import Member, Rows, members_of


class Field:
    """A member of a request, as it is written in a command or in a cell of a table."""

    def __init__(self, member: Member) -> None:
        self.name, self.required = member.name, member.required
        self._member = member

    @property
    def option(self) -> str:
        """The option for it."""
        return f"--{self.name.replace('_', '-')}"

    @property
    def is_length(self) -> bool:
        """Whether it is a length, of which a table may have two columns."""
        return isinstance(self._member.kind, Length)

    def value(self, text: str) -> Any:
        """A written value as JSON has it; of a list commas part the entries."""
        return self._member.kind.from_text(text)

    def cell(self, text: str) -> Any:
        """A cell of a table as JSON has it; of a list bars part the entries, for commas part cells."""
        return self._member.kind.from_text(text, "|")

    def as_option(self) -> Option:
        """Make an option of it, under its heading, which shows how it is written."""
        member = self._member
        listed = isinstance(member.kind, Rows)
        written = ",".join(member.example) if listed else str(member.example)
        shown = "yes|no" if isinstance(member.kind, YesNo) else f"'{written}'" if " " in written else written
        help = f"{member.help} With commas between." if listed else member.help
        return Option([self.option], metavar=shown, help=help, heading=member.heading)


def fields(group: str) -> list[Field]:
    """Give the members of a group of a request, with no more loaded than their declaration: help is to come at once."""
    return [*map(Field, _members(group).values())]


def options(group: str) -> list[Option]:
    """Make options of the members of a group."""
    return [each.as_option() for each in fields(group)]


def _members(group: str) -> Mapping[str, Member]:
    match group:
        case "shop":
            from sawbill.prices.shop import SHOP

            return SHOP
        case "site":
            from sawbill.checks.site import Site

            return members_of(Site)
        case "wood":
            from sawbill.asked.wood import LUMBER

            return LUMBER.members
        case "lumber":
            from sawbill.asked.wood import LUMBER_THAT_HOLDS

            return LUMBER_THAT_HOLDS.members
        case "pricing":
            from sawbill.asked.pricing import PRICING

            return PRICING.members
    from sawbill.asked import lines, owned

    tables = {
        "parts": lines.PIECE, "hardware": lines.HARDWARE, "on_hand": owned.ON_HAND,
        "owned_hardware": owned.OWNED_HARDWARE, "owned_supplies": owned.OWNED_SUPPLY,
    }  # fmt: skip
    return tables[group].members
