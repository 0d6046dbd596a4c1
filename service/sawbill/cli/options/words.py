"""Options that several commands have, and what the Tab key completes them with."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import click
from click.shell_completion import CompletionItem

from sawbill.cli.options.groups import Option, TextType
from sawbill.trade.declaring.headings import HAVE, TOLD, WHAT, WORK, Heading


class DesignName(TextType):
    """A design by its name."""

    name = "design"

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """Complete the name of a design."""
        from sawbill.registry import designs

        return [CompletionItem(each.name, help=each.title) for each in designs().values() if _begins(each, incomplete)]


class OptionValue(TextType):
    """An option of a design, and its value."""

    name = "option"

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """Complete the names of the options of the designs that are named, and words that an option may be."""
        from sawbill.registry import designs

        known, named = designs(), ctx.params.get("design") or ()
        before = [*([named] if isinstance(named, str) else named), *ctx.args]  # args: click reads no further than here
        found = [known[each] for each in before if each in known]
        every = {option.name: option for design in found or known.values() for option in design.options}
        name, equals, text = incomplete.partition("=")
        if equals:
            words = _words(every[name]) if name in every else ()
            return [CompletionItem(f"{name}={word}") for word in words if word.startswith(text)]
        names = [each for each in every if each.startswith(name)]
        found_words = (
            _words(every[names[0]]) if len(names) == 1 else ()
        )  # several, so that no shell puts a space after =
        return [CompletionItem(f"{each}=", help=every[each].help) for each in names] + [
            CompletionItem(f"{names[0]}={word}") for word in found_words
        ]


class TableName(TextType):
    """A table of a quote."""

    name = "table"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """See that there is such a table."""
        from sawbill.answer.tables import TABLES
        from sawbill.prices.rows.cells import nearest

        if value not in TABLES:
            self.fail(f"there is no table {value}; {nearest(str(value)[:60], TABLES)}", param, ctx)
        return str(value)

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """Complete the name of a table."""
        from sawbill.answer.tables import TABLES

        return [CompletionItem(each.name, help=each.meaning) for each in TABLES.values() if _begins(each, incomplete)]


def named_option(name: str, metavar: str, help: str, heading: Heading, **more: Any) -> Option:
    """An option that is written NAME=VALUE, and may be repeated."""
    return Option([name], metavar=metavar, help=f"{help} May be repeated.", heading=heading, multiple=True, **more)


def file_option(name: str, help: str, heading: Heading) -> Option:
    """An option that names a file to read; - is standard input."""
    return Option([name], metavar="FILE", type=click.Path(allow_dash=True), help=help, heading=heading)


def have_options(of: str = "") -> list[Option]:
    """The options of what the maker has; of: what has all of it, where that is not said."""
    boards = (
        "CSV with the columns section, length, quantity, species, grade, design_values; or an earlier quote as JSON, "
        "of which the leftovers are taken."
    )  # fmt: skip
    told = (
        ("--on-hand", "Boards", boards),
        ("--owned-hardware", "Hardware", "CSV with the columns item, size, length, quantity."),
        ("--owned-supplies", "Supplies", "CSV with the columns item, amount."),
    )
    return [file_option(name, f"{what}{of}: {how}", HAVE) for name, what, how in told]


def rate_option() -> Option:
    """The option of the maker's own times of work."""
    return named_option("--rate", "WORK=TIME", "Your own time of a kind of work, such as drill='1 min'.", WORK)


def set_option(metavar: str, help: str) -> Option:
    """The option that sets the options of designs."""
    return Option(
        ["--set", "settings"], metavar=metavar, help=help, heading=WHAT, multiple=True, type=OptionValue()
    )  # fmt: skip


def units_option() -> Option:
    """The option of how lengths are written."""
    return Option(
        ["--units"], type=click.Choice(["inch", "metric"]), heading=TOLD,
        help="How lengths are written. Unset: as the price book has them.",
    )  # fmt: skip


def table_option(unset: str) -> Option:
    """The option of one table alone."""
    return Option(
        ["--table"], metavar="TABLE", type=TableName(), heading=TOLD, help=f"One table alone. Unset: {unset}."
    )


def _begins(each: Any, incomplete: str) -> bool:
    return bool(each.name.startswith(incomplete))


def _words(option: Any) -> Iterable[str]:
    """The words that an option may be, as far as they can be listed, or what it usually is."""
    from sawbill.trade.declaring.reading import Reading
    from sawbill.trade.lumber import section

    told = option.describe(Reading("inch", lambda role: "", section))
    if option.kind == "length":
        return (told["default"]["text"].replace(" ", "-", told["default"]["text"].count(" ") - 1).replace(" ", ""),)
    return told.get("choices") or {"flag": ("yes", "no"), "count": (str(told["default"]),)}.get(option.kind, ())
