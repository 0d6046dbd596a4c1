"""The lines of a request for a quote: designs that are named, lists of them in files, and parts of one's own."""

from __future__ import annotations

import shlex
from dataclasses import replace
from typing import Any, Final

from sawbill.asked.lines import LINE
from sawbill.cli.options.declared import Field, fields
from sawbill.cli.output.ending import misused
from sawbill.cli.requests.asking import Asking, Words
from sawbill.cli.requests.designs import designs
from sawbill.cli.requests.inputs import Input
from sawbill.trade.declaring.kinds import Text
from sawbill.trade.declaring.members import Member

_OWN: Final = ("label", "quantity")
"""What a line is told beside its design and that design's options."""


def add_lines(asking: Asking, words: Words) -> None:
    """Add every line that the words of a command ask for."""
    if words["design"] is not None:
        _design(asking, words)
    elif about := [each for each in ("set", "quantity", "label") if words["settings" if each == "set" else each]]:
        asking.fault(f"--{about[0]}", "name the DESIGN that it is about")
    for text in words["also"]:
        _also(asking, text)
    if words["lines"] is not None:
        _file_of_lines(asking, words["lines"])
    _own_parts(asking, words)
    if not asking.raw.get("lines") and not asking.faults:
        misused(["name a DESIGN, or what else is to be quoted: --lines, --parts, --hardware or --request"])


def _design(asking: Asking, words: Words) -> None:
    name = words["design"]
    at = asking.add("lines", {"design": name, "label": words["label"] or name}, "DESIGN")
    asking.written(words, [LINE.members["quantity"]], at)
    asking.named((*at, "options"), "--set", words["settings"])


def _also(asking: Asking, text: str) -> None:
    """Add a line that is written in one word: its design, and NAME=VALUE as often as need be."""
    place = f"--also '{text}'"
    try:
        name, *settings = shlex.split(text)
    except ValueError:
        asking.fault(place, "write 'DESIGN OPTION=VALUE ...', each value with a space in it in quotes of its own")
        return
    at = asking.add("lines", {"design": name, "label": name}, place)
    for key, value in asking.pairs("--also", settings).items():
        where = (*at, key) if key in _OWN else (*at, "options", key)
        written = LINE.members[key].kind.from_text(value) if key in _OWN else value
        asking.put(where, written, f"--also {name} {key}")


def _file_of_lines(asking: Asking, file: str) -> None:
    """Add the lines of a table: its columns are those of a line, and the options of any design."""
    names = dict.fromkeys(option.name for design in designs().values() for option in design.options)
    own = [replace(LINE.members[name], required=name == "design") for name in ("design", *_OWN)]
    read = Input(file)
    table = read.table([*map(Field, (*own, *(Member(name, Text(), "") for name in names)))], "lines")
    asking.faults_of(table)
    for place, row in table.rows:
        asking.add("lines", row if read.is_json else _line(row), place, in_command=False)


def _line(row: dict[str, Any]) -> dict[str, Any]:
    known = ("design", *_OWN)
    options = {key: value for key, value in row.items() if key not in known}
    line = {key: row[key] for key in known if key in row}
    return {"label": line.get("design", ""), **line, "options": options}


def _own_parts(asking: Asking, words: Words) -> None:
    """Add a line of the parts and the hardware that files list."""
    tables = {name: Input(words[name]).table(fields(name)) for name in ("parts", "hardware") if words[name] is not None}
    if not tables:
        return
    at = asking.add("lines", {"label": "own parts"}, "--parts")
    for name, table in tables.items():
        asking.put((*at, name), [row for _, row in table.rows], f"--{name}")
        for i, (place, row) in enumerate(table.rows):
            asking.put((*at, name, i), row, place, in_command=False)
        asking.faults_of(table)
