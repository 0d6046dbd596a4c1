"""Where an answer goes and in which form: `--format`, `--output`, `--width`."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, Literal, NamedTuple, cast

import click

from sawbill.cli.options.groups import Option
from sawbill.cli.output.ending import misused, refuse
from sawbill.trade.declaring.headings import FORM

Form = Literal["text", "csv", "json", "xlsx", "html"]
FORMS: Final[Mapping[str, Form]] = MappingProxyType({
    ".txt": "text", ".csv": "csv", ".json": "json", ".xlsx": "xlsx", ".html": "html",
})  # fmt: skip
"""The forms of an answer, by the suffix of a file."""
NARROWEST: Final = 40


class Output(NamedTuple):
    """Where an answer goes and in which form; width: how wide text may be, None: as wide as it is."""

    form: Form
    file: str | None
    width: int | None

    def write(self, answer: bytes | str) -> None:
        """Write it. Ends the command where it cannot be written."""
        if self.file is None:
            click.echo(answer, nl=False)
        else:
            write_file(self.file, answer)


def output_options(csv: str) -> list[click.Parameter]:
    """The options of where an answer goes; csv: which table CSV is, in words."""
    return [
        Option(
            ["--format", "form"], type=click.Choice([*FORMS.values()]), heading=FORM,
            help=f"text to read, csv ({csv}), json, xlsx (a workbook), html (a page). Unset: by the name of the file, "
            "or text.",
        ),
        Option(
            ["-o", "--output"], metavar="FILE", type=click.Path(dir_okay=False, allow_dash=True), heading=FORM,
            help=f"Write to a file; the end of its name, {', '.join(FORMS)}, says the form.",
        ),
        Option(
            ["--width"], type=click.IntRange(NARROWEST), metavar="N", heading=FORM,
            help="How wide text may be, in characters. Unset: as the terminal; in a pipe or a file, any width.",
        ),
    ]  # fmt: skip


def output_of(words: Mapping[str, Any]) -> Output:
    """Read where an answer goes."""
    form, file = words["form"], words["output"]
    file = None if file == "-" else file
    if form is None and file is not None:
        suffix = Path(file).suffix.lower()
        if suffix not in FORMS:
            misused([f"--output {file}: end its name with {', '.join(FORMS)}, or say --format too"])
        form = FORMS[suffix]
    form = cast(Form, form or "text")
    terminal = file is None and sys.stdout.isatty()
    if terminal and form == "xlsx":
        misused(["--format xlsx: a workbook is no text; name a file with --output FILE.xlsx"])
    width = words["width"] or (max(NARROWEST, shutil.get_terminal_size().columns) if terminal else None)
    return Output(form, file, width)


def write_file(file: str, answer: bytes | str) -> None:
    """Write a file as a whole: one that was there stays as it is until the new one is done."""
    try:
        with click.open_file(file, "wb", atomic=True) as stream:
            stream.write(answer.encode() if isinstance(answer, str) else answer)
    except OSError as error:
        refuse([f"--output {file}: {error.strerror}; name a file that can be written"])
