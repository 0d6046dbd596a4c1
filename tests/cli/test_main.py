"""The command as a whole: its help, what that loads, the Tab key, and how it ends."""

import subprocess
import sys
from collections.abc import Iterator, Sequence

import click
import pytest
from click.shell_completion import BashComplete, ShellComplete
from click.testing import CliRunner

from sawbill.cli.main import COMMANDS, main
from sawbill.cli.output.ending import CODES, INPUT, NO, USAGE

HEAVY = ("numba", "numpy", "flask", "marshmallow", "sqlalchemy", "pandas", "openpyxl", "pint", "sawbill.web.reckoning")
"""What help has no need of, and what takes long to load."""


def every_command(group: click.Group = main, path: Sequence[str] = ()) -> Iterator[tuple[list[str], click.Command]]:
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        yield [*path, name], command
        if isinstance(command, click.Group):
            yield from every_command(command, [*path, name])


def test_the_help_of_every_command_loads_nothing_heavy() -> None:
    asked = [[*path, "-h"] for path, _ in every_command()] + [["-h"]]
    code = f"""
import sys
from sawbill.cli.main import main
for words in {asked!r}:
    main(words, standalone_mode=False)
print("LOADED", *(name for name in {HEAVY!r} if name in sys.modules))
"""
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert told.count("Usage: ") == len(asked)
    assert told.splitlines()[-1].split() == ["LOADED"]


def test_the_help_of_all_has_a_line_for_each_and_tells_how_it_ends() -> None:
    told = CliRunner().invoke(main, ["--help"]).output
    for name, command in COMMANDS.items():
        assert f"  {name.ljust(max(map(len, COMMANDS)))}  {command.does}\n" in told
    for code in (0, INPUT, USAGE, NO):
        assert f"\n    {code}  " in told and f"\n  {code}  " in CODES


def test_help_is_had_by_h_of_a_command_that_was_called_by_itself_before() -> None:
    for path, command in every_command():
        CliRunner().invoke(command, ["--help"])
        assert CliRunner().invoke(main, [*path, "-h"]).exit_code == 0, path


def test_every_option_says_what_it_does_and_stands_in_the_help_once() -> None:
    for path, command in every_command():
        told = CliRunner().invoke(main, [*path, "-h"]).output
        for option in (each for each in command.params if isinstance(each, click.Option)):
            assert option.help, (path, option.name)
            named = [line for line in told.splitlines() if line.strip().startswith(f"{', '.join(option.opts)} ")]
            assert len(named) == 1, (path, option.opts, told)


def test_a_command_that_there_is_not_is_answered_with_the_nearest() -> None:
    result = CliRunner().invoke(main, ["quot", "bench"])
    assert result.exit_code == USAGE and "did you mean quote?" in result.output


@pytest.mark.parametrize(
    ("words", "incomplete", "found"),
    [
        ([], "pl", {"plan"}),
        (["quote"], "be", {"bench"}),
        (["quote"], "--long", {"--longest-board"}),
        (["quote", "bench", "--set"], "back_", {"back_height=", "back_board="}),
        (["quote", "bench", "--set"], "seat_g", {"seat_gap=", "seat_gap=1/2in"}),
        (["quote", "bench", "--set"], "middle_legs=", {"middle_legs=auto", "middle_legs=none"}),
        (["quote", "bench", "--set"], "back=y", {"back=yes"}),
        (["compare", "bench", "slatted-bed", "--set"], "mattress=que", {"mattress=queen"}),
        (["quote", "--table"], "cut", {"cut-list", "cutting-plan"}),
        (["plan", "--prices"], "sample-m", {"sample-metric", "sample-m"}),
        (["quote", "--format"], "x", {"xlsx"}),
        (["token"], "m", {"make"}),
    ],
)
def test_the_tab_key_completes(words: list[str], incomplete: str, found: set[str]) -> None:
    completions = ShellComplete(main, {}, "sawbill", "_SAWBILL_COMPLETE").get_completions(words, incomplete)
    assert {each.value for each in completions} == found


def test_the_script_for_bash_is_that_of_the_help() -> None:
    told = CliRunner().invoke(main, ["--help"]).output
    for shell in ("bash", "zsh", "fish"):
        assert f"_SAWBILL_COMPLETE={shell}_source sawbill" in told
    assert "complete -o nosort -F" in BashComplete(main, {}, "sawbill", "_SAWBILL_COMPLETE").source()
