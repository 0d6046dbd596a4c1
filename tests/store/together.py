"""Many at once: in threads, and in processes that may be killed."""

import multiprocessing
import threading
from collections.abc import Callable, Sequence
from typing import Any

# Each process is forked from one that has only imported: fast, and with no connection of ours in it.
FORKS = multiprocessing.get_context("forkserver")
FORKS.set_forkserver_preload(["tests.store.writers"])


def at_once(work: Sequence[Callable[[], Any]]) -> tuple[list[Any], list[Exception]]:
    """Do each in a thread of its own, all beginning together: give what came of them, and what was raised."""
    done: list[Any] = []
    failed: list[Exception] = []
    gate = threading.Barrier(len(work))

    def run(one: Callable[[], Any]) -> None:
        gate.wait()
        try:
            done.append(one())
        except Exception as error:
            failed.append(error)

    threads = [threading.Thread(target=run, args=(one,)) for one in work]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return done, failed
