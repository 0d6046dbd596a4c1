"""Commands that are loaded when they are called, and help that lists options under headings.

Both are made as click's own documentation tells: a group whose `get_command` imports what is asked for, and a command
whose `format_options` writes several lists. A group knows what each of its commands does in a line, so that its help
and the completion of its names load none of them.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import click
from click.shell_completion import CompletionItem

from sawbill.trade.declaring.headings import Heading, by_heading

if TYPE_CHECKING:
    TextType = click.ParamType[str]
else:  # older click knows no brackets here, and needs none
    TextType = click.ParamType

COMMANDS: Final = "sawbill.cli.commands"
"""Where commands are."""


HELP: Final[Mapping[str, Any]] = {"help_option_names": ["-h", "--help"]}
"""How help is asked for."""


class Lazy(NamedTuple):
    """A command to be loaded: where it is, as module:name of `COMMANDS`; what it does, in a line; its heading."""

    where: str
    does: str
    heading: str = "Commands"


class LazyGroup(click.Group):
    """A group whose commands are imported when they are called."""

    def __init__(self, *words: Any, lazy: Mapping[str, Lazy], **more: Any) -> None:
        super().__init__(*words, **more)
        self.lazy = lazy

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Give the names of the commands, in the order of the help."""
        return [*self.lazy]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import a command."""
        if cmd_name not in self.lazy:
            return None
        module, _, name = self.lazy[cmd_name].where.partition(":")
        command = getattr(import_module(f"{COMMANDS}.{module}"), name)
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:  # fmt: skip
        """Find the command that is called. Raises UsageError: there is none; it names the nearest."""
        name = args[0]
        if name not in self.lazy and not name.startswith("-"):
            near = difflib.get_close_matches(name, self.lazy, n=1)
            ctx.fail(f"there is no command {name}; {f'did you mean {near[0]}?' if near else 'see sawbill --help'}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write what each command does, under its heading."""
        widest = max(map(len, self.lazy))
        for heading in dict.fromkeys(each.heading for each in self.lazy.values()):
            told = [(name.ljust(widest), each.does) for name, each in self.lazy.items() if each.heading == heading]
            with formatter.section(heading):
                formatter.write_dl(told)

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """Complete the name of a command, or else an option."""
        found = [
            CompletionItem(name, help=each.does) for name, each in self.lazy.items() if name.startswith(incomplete)
        ]
        return found or click.Command.shell_complete(self, ctx, incomplete)


class Option(click.Option):
    """An option that stands under a heading of the help."""

    def __init__(self, *words: Any, heading: Heading, **more: Any) -> None:
        super().__init__(*words, **more)
        self.heading = heading


class Command(click.Command):
    """A command whose help tells its options under their headings, those without one at the end."""

    def __init__(self, *words: Any, **more: Any) -> None:
        # click keeps a command's help option from its first call, which may be without the group that adds -h
        super().__init__(*words, **{"context_settings": HELP, **more})

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the options."""
        options = [each for each in self.get_params(ctx) if isinstance(each, click.Option)]
        for heading, listed in by_heading(each for each in options if isinstance(each, Option)).items():
            _write(formatter, heading.told, listed, ctx)
        _write(formatter, "Help", [each for each in options if not isinstance(each, Option)], ctx)


def joined(*groups: Iterable[click.Parameter]) -> list[click.Parameter]:
    """Join groups of options into those of a command."""
    return [each for group in groups for each in group]


def _write(
    formatter: click.HelpFormatter, heading: str, options: Sequence[click.Parameter], ctx: click.Context
) -> None:  # fmt: skip
    records = [record for option in options if (record := option.get_help_record(ctx)) is not None]
    if records:
        with formatter.section(heading):
            formatter.write_dl(records)
