"""Loops compiled to machine code when they are first run: those that whole arrays cannot say, or say slowly.

What was compiled is kept for the next start, beside the modules or where else there is room, in a folder named by
all modules that have such loops: one may use what another defines, so a change in any makes them all anew.
"""

from __future__ import annotations

import atexit
import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Final, ParamSpec, TypeVar

import numba
import numpy as np
from numba.extending import register_jitable
from numpy.typing import NDArray

Parameters = ParamSpec("Parameters")
Result = TypeVar("Result")
Scalar = TypeVar("Scalar", bound=np.generic)

_HERE = Path(__file__).parent


def compiled(loop: Callable[Parameters, Result]) -> Callable[Parameters, Result]:
    """The same loop, compiled for the types it is given.

    Whole numbers are of 64 bits and wrap around; floats are reckoned in the order that is written, so that every
    machine finds the same.
    """
    made: Callable[Parameters, Result] = numba.njit(cache=True, nogil=True, error_model="numpy")(loop)
    return made


def compiled_part(loop: Callable[Parameters, Result]) -> Callable[Parameters, Result]:
    """The same function, compiled only as a part of the loops that call it; by itself it runs as it is written."""
    made: Callable[Parameters, Result] = register_jitable(error_model="numpy", no_cfunc_wrapper=True)(loop)
    return made


def inlined(loop: Callable[Parameters, Result]) -> Callable[Parameters, Result]:
    """The same, written into the one loop that calls it: for what is short, and too often done for a call."""
    made: Callable[Parameters, Result] = register_jitable(error_model="numpy", no_cfunc_wrapper=True, forceinline=True)(
        loop
    )
    return made


def _folder() -> Path:
    """Where compiled loops are kept: beside the modules, with the user's caches, or else as long as this process is."""
    own = _HERE / "__pycache__" / f"loops-{_digest()}"
    if _has_room(own):
        for old in own.parent.glob("loops-*"):
            if old != own:
                shutil.rmtree(old, ignore_errors=True)
        return own
    shared = _caches() / "sawbill" / own.name  # by all that this user has installed, so what others need stays
    if _has_room(shared):
        return shared
    temporary = Path(tempfile.mkdtemp(prefix="sawbill-"))
    if own.is_dir():
        shutil.copytree(own, temporary, dirs_exist_ok=True)
    atexit.register(_remove, temporary, os.getpid())
    return temporary


def _remove(folder: Path, owner: int) -> None:
    """Once its owner ends; a process forked from it ends by the same way."""
    if os.getpid() == owner:
        shutil.rmtree(folder, ignore_errors=True)


def _digest() -> str:
    """Of the compiler, and of all modules that have compiled loops."""
    found = hashlib.sha256(numba.__version__.encode())
    for path in sorted(_HERE.rglob("*.py")):
        text = path.read_bytes()
        if b"compiled" in text:
            found.update(text)
    return found.hexdigest()[:16]


def _caches() -> Path:
    """Where programs keep what can be made again (XDG Base Directory Specification 0.8)."""
    return Path(os.environ.get("XDG_CACHE_HOME") or Path("~/.cache").expanduser())


def _has_room(folder: Path) -> bool:
    """Whether something can be written there."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        tempfile.TemporaryFile(dir=folder).close()
    except OSError:
        return False
    return True


FOLDER: Final = _folder()
IS_KEPT: Final = FOLDER.name.startswith("loops-")
"""Whether the next start finds it there."""
numba.config.CACHE_DIR = str(FOLDER)  # type: ignore[attr-defined]  # numba makes its settings as it loads


@compiled_part
def copied(values: NDArray[Scalar], into: NDArray[Scalar]) -> None:
    """Copy a row into another of its length: assigned as a whole, it takes a second or two longer to compile."""
    for n in range(len(values)):
        into[n] = values[n]


@compiled_part
def emptied(row: NDArray[Scalar]) -> None:
    """Make all of a row 0, likewise."""
    for n in range(len(row)):
        row[n] = 0
