"""Room that a store keeps free on its disk, so that something can be deleted, and read, where there is none left.

To delete, SQLite writes too; so does it to open a store that nobody has open. On a full disk neither could be done, and
no room could be made. So some is kept by a file that is given up then, and laid again once there is room.
"""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from pathlib import Path
from typing import Final

FILE: Final = "room-to-delete"
SIZE: Final = 4_000_000
"""What is kept free [bytes]: more than a thousand pages of a database, at which SQLite clears its log."""
LEAST: Final = 256_000
"""The least that it takes to delete something: the pages that tell of it, in the log [bytes]."""
LEAST_ROOM: Final = 4 * SIZE
"""With how little on the disk a store counts as full, and nothing is kept free of it [bytes]."""


class Reserve:
    """The room that a store in a folder keeps free."""

    def __init__(self, folder: Path) -> None:
        self._folder, self._file = folder, folder / FILE

    def lay(self) -> None:
        """Keep room free; of a disk that is nearly full half of what it has, so that something can be kept, too.

        It is no fault where none can be kept.
        """
        room = self.room()
        size = SIZE if room >= LEAST_ROOM else min(max(room // 2, LEAST), SIZE)
        if size > room:
            return
        with suppress(OSError):
            handle = os.open(self._file, os.O_WRONLY | os.O_CREAT, 0o600)
            try:
                if size > os.fstat(handle).st_size:
                    os.posix_fallocate(handle, 0, size)
            finally:
                os.close(handle)

    def give_up(self) -> bool:
        """Let go of it, and tell whether there was any."""
        try:
            self._file.unlink()
        except OSError:
            return False
        return True

    def room(self) -> int:
        """Tell how much the disk has left [bytes]; what cannot be told is none."""
        try:
            return shutil.disk_usage(self._folder).free
        except OSError:
            return 0
