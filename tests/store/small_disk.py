"""A disk of a few megabytes, in memory, that a test can fill."""

import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def small_disk(folder: Path, megabytes: int) -> Iterator[Path]:
    """Mount a disk on a folder, which takes the rights of root."""
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={megabytes}m", "none", folder], capture_output=True)
    if mounted.returncode:
        pytest.skip("this machine does not let its user mount a small disk")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "--lazy", folder], check=True)


def fill(disk: Path) -> None:
    """Fill a disk to its last page."""
    with (disk / "filler").open("ab", buffering=0) as file:
        for size in (100_000, 4096, 1):
            try:
                while file.write(b"x" * size) == size:
                    pass
            except OSError:
                continue


def room(disk: Path) -> int:
    return shutil.disk_usage(disk).free
