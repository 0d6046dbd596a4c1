"""An engine: a process that does one task after the other, until it is told no more.

It ends with its owner, however that ends; it is a group of its own, so that what it has started is slowed and ended
with it; and it may not grow beyond its bound.
"""

from __future__ import annotations

import ctypes
import gc
import os
import pickle
import resource
import signal
import socket
import sys
import time
import traceback
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final, Never

from sawbill.backroom import wire
from sawbill.backroom.held import Held

LARGE: Final = 500_000
"""From how many bytes on what a task was read into is let go of at once: some of it is held by circles alone."""
DONE, FAILED, SPENT = b"d", b"f", b"m"
"""What an answer begins with: the packed value and its time, the trace of an error, or nothing, for want of memory."""
YOUNG: Final = 10_000
"""After so many new objects those that nobody holds any more are looked for: a task makes thousands that all stay until
it is done, and every search among them is for nothing."""

_PR_SET_PDEATHSIG: Final = 1  # Linux, prctl(2)
_libc: Final = ctypes.CDLL(None, use_errno=True)


def begin(line: socket.socket, owner: int, memory: int, prepare: Callable[[], None]) -> Never:
    """In a forked child: let go of all that is the owner's, be bounded, and do tasks until the line closes."""
    end = 1
    try:
        for number in (signal.SIGTERM, signal.SIGHUP, signal.SIGCHLD, signal.SIGUSR1, signal.SIGUSR2, signal.SIGQUIT):
            signal.signal(number, signal.SIG_DFL)
        signal.set_wakeup_fd(-1)
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # a terminal sends it to all; the owner decides
        gc.freeze()  # what is left of the owner's is never looked at again, nor closed
        gc.set_threshold(YOUNG)
        keep_only(line)
        os.setpgid(0, 0)
        end_with(owner)
        _bound(memory)
        prepare()
        _serve(line)
        end = 0
    except (EOFError, OSError):
        end = 0
    except BaseException:
        traceback.print_exc(file=sys.stderr)
    finally:
        os._exit(end)


def keep_only(*lines: socket.socket) -> None:
    """Close all that was inherited, but these and the three usual streams."""
    kept = sorted(line.fileno() for line in lines)
    for low, high in zip([2, *kept], [*kept, os.sysconf("SC_OPEN_MAX")], strict=True):
        os.closerange(low + 1, high)


def end_with(owner: int) -> None:
    """Have this process end when its owner does, also when nobody can tell it to. On Linux only."""
    if sys.platform == "linux":
        _libc.prctl(_PR_SET_PDEATHSIG, signal.SIGKILL, 0, 0, 0)
        if os.getppid() != owner:  # it ended in between
            os._exit(0)


def _bound(memory: int) -> None:
    """Bound how much this process may grow [bytes]. On Linux only."""
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    if sys.platform == "linux":
        size = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (size + memory, size + memory))


def _serve(line: socket.socket) -> None:
    held = Held()
    while True:
        work, keys, new = pickle.loads(wire.receive(line))  # from our own owner
        answer = _done(work, keys, new, held)
        if len(work) >= LARGE:
            gc.collect()  # first, so that who has the answer knows it gone
        wire.send(line, answer)
        if answer == SPENT:
            return  # it may be in any state: another takes its place


def _done(work: bytes, keys: Iterable[str], new: dict[str, bytes], held: Held) -> bytes:
    began = time.perf_counter()
    try:
        shared = held.use(keys, lambda key: pickle.loads(new[key]))
        function, arguments = pickle.loads(work)
        value = function(tuple(shared), *arguments)
        return DONE + pickle.dumps((value, time.perf_counter() - began), pickle.HIGHEST_PROTOCOL)
    except MemoryError:
        return SPENT
    except Exception:
        return FAILED + traceback.format_exc().encode("utf-8", "backslashreplace")
