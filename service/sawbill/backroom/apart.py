"""Two rooms as one: what somebody waits for singly is done in the near one, many tasks at once in the far one."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from typing import Final

from sawbill.backroom.task import Answer, Rank, Room, Task

IN_HAND: Final = 400
"""How many tasks of one asker are handed in to a cluster before the first of them is done: 20 workers are kept busy."""


@dataclass(frozen=True, slots=True)
class Apart:
    """A room near, and one far: a task's rank tells which."""

    near: Room
    far: Room

    def submit(self, task: Task) -> Future[Answer]:
        """Have a task done in the room that is for its rank."""
        return (self.near if task.rank is Rank.SINGLE else self.far).submit(task)

    def told(self) -> Future[Answer]:
        """Tell what the near room tells."""
        return self.near.told()


def with_cluster(near: Room, address: str | None, versions: Callable[[], dict[str, str]]) -> Room:
    """Add the cluster whose scheduler is at an address; None: there is none, and nothing of it is loaded.

    versions: gives what a worker must be like, by name.
    """
    if address is None:
        return near
    from sawbill.backroom.cluster.room import Cluster

    return Apart(near, Cluster(address, versions()))
