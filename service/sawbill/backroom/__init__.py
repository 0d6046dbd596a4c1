"""The back room: processes that reckon, so that whoever asks never has to, and can stop what takes too long.

Whoever asks hands in a `Task` and gets a `concurrent.futures.Future` of its `Answer`. A `Room` is where tasks are done:
`Remote` has them done by engines, which are processes behind a socket (`serving`), `Here` by the process that asks;
`Once`, before any of them, has the same task done once for all who ask for it meanwhile.
`Apart` has many tasks done on a `cluster`, where the operator has named one, and a single one here.
Nothing here knows what the tasks are about.
"""

from sawbill.backroom.apart import Apart, with_cluster
from sawbill.backroom.once import Once
from sawbill.backroom.remote import Remote
from sawbill.backroom.several import Here, several
from sawbill.backroom.starting import beside, opened
from sawbill.backroom.task import (
    Answer,
    FailedError,
    FullError,
    GoneError,
    Limits,
    Rank,
    Room,
    RoomError,
    Task,
    TookTooLongError,
    TooLargeError,
    packed,
)

__all__ = [
    "Answer",
    "Apart",
    "FailedError",
    "FullError",
    "GoneError",
    "Here",
    "Limits",
    "Once",
    "Rank",
    "Remote",
    "Room",
    "RoomError",
    "Task",
    "TooLargeError",
    "TookTooLongError",
    "beside",
    "opened",
    "packed",
    "several",
    "with_cluster",
]
