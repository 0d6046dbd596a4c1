"""What is compiled at the first start of an installation: told as it goes, and by two processes at once."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from typing import NamedTuple

from sawbill.compiled import FOLDER, IS_KEPT


class Part(NamedTuple):
    """Loops that are compiled together; run: a function of a module that runs them all, on something small."""

    what: str
    run: Callable[[], object]


def make_ready(parts: Sequence[Part]) -> None:
    """Load the loops of all parts, once those that are not kept are compiled: the first half in a process aside."""
    missing = [part for part in parts if not _is_made(part)]
    half = len(missing) // 2
    aside = _begin_aside(missing[:half]) if half else None
    for number, part in enumerate(missing, 1):
        _tell(part, number, len(missing))
        if aside is None or number > half:
            part.run()
    if aside is not None:
        aside.wait()
    for part in parts:
        part.run()
    for part in missing:
        _note(part)


def _begin_aside(parts: Sequence[Part]) -> subprocess.Popen[bytes] | None:
    """Have another process compile parts, where there is a core for it and a place where both keep what they make."""
    if not IS_KEPT or (os.cpu_count() or 1) < 2:
        return None
    code = "; ".join(f"from {part.run.__module__} import {part.run.__name__} as run; run()" for part in parts)
    return subprocess.Popen([sys.executable, "-c", code], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)


def _tell(part: Part, number: int, count: int) -> None:
    """Say on the error stream what whoever started this waits for."""
    print(f"Compiling, once for this installation: {part.what} ({number} of {count})", file=sys.stderr, flush=True)


def _is_made(part: Part) -> bool:
    return (FOLDER / _name(part)).exists()


def _note(part: Part) -> None:
    (FOLDER / _name(part)).touch()


def _name(part: Part) -> str:
    """The file that says that a part was compiled."""
    return f"{part.run.__module__}.{part.run.__name__}"
