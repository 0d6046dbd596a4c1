"""The folder that the processes of a service share, in memory: what is counted, and what was made last.

Each of them holds a lock in it for as long as it lives. So a service that starts clears away the folders of services
that were killed, and none in which a worker goes on whose service was. Where the folder is gone (a cleaner took it, or
another container), it is made again: nothing in it is worth a request.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from sawbill.web.running.metrics import FOLDER, Place, count_together

MEMORY: Final = Path("/dev/shm")
PREFIX: Final = "sawbill-shared-"
_LOCK: Final = "in-use"


class Hold:
    """A folder that this process, and those it forks, hold."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._thread = threading.Lock()
        self._handle = _locked(folder)

    def renew(self) -> bool:
        """Make the folder again where it is gone, and tell whether it was. Raises OSError: it cannot be made."""
        with self._thread:
            if os.fstat(self._handle).st_nlink:
                return False
            lost, self._handle = self._handle, _locked(self.folder)
            os.close(lost)
            return True


def _locked(folder: Path) -> int:
    """Lock a folder together with whoever else holds it, and make it if need be."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle = os.open(folder / _LOCK, os.O_RDWR | os.O_CREAT, 0o600)
    fcntl.flock(handle, fcntl.LOCK_SH)
    return handle


def _abandoned(folder: Path) -> bool:
    """Tell whether no process holds a folder any more."""
    try:
        handle = os.open(folder / _LOCK, os.O_RDWR)
    except OSError:
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    finally:
        os.close(handle)
    return True


@contextmanager
def shared_folder() -> Iterator[Path]:
    """Give the processes of a service a folder for what they share, in memory, while the service runs."""
    memory = MEMORY if os.access(MEMORY, os.W_OK) else Path(tempfile.gettempdir())
    for left in memory.glob(f"{PREFIX}*"):  # of services that were killed
        if not Path("/proc", left.name.split("-")[2]).exists() and _abandoned(left):
            shutil.rmtree(left, ignore_errors=True)
    owner, folder = os.getpid(), Path(tempfile.mkdtemp(prefix=f"{PREFIX}{os.getpid()}-", dir=memory))
    Place.hold = Hold(folder).renew
    try:
        yield folder
    finally:
        if os.getpid() == owner:
            shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def counting(folder: Path) -> Iterator[None]:
    """Have the processes of a service count together, while it runs: in a folder they share.

    PROMETHEUS_MULTIPROC_DIR may name another, which is emptied of what an earlier run left.
    """
    named = os.environ.get(FOLDER)
    chosen, owner = Path(named) if named else folder, os.getpid()
    if named and _abandoned(chosen):
        for left in chosen.glob("*.db"):
            left.unlink()
    os.environ[FOLDER] = str(chosen)
    Place.number = 0
    if named:
        Place.hold = Hold(chosen).renew
    try:
        yield
    finally:
        if os.getpid() == owner and not named:  # a worker ends by the same way, and others go on
            with suppress(KeyError):
                del os.environ[FOLDER]
            count_together(False)
