"""What a job comes to in parts, so many rows each: kept as they come, and read one at a time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

from sqlalchemy import Connection, delete, func, insert, select

from sawbill.store.errors import UnknownJobError
from sawbill.store.sql.database import Database
from sawbill.store.sql.schema import PARTS
from sawbill.store.values import Part

Stage = Literal["made", "told"]
MADE: Final[Stage] = "made"
"""What rows came to, in the order of the grid."""
TOLD: Final[Stage] = "told"
"""The rows as they are told, in their order."""


class Parts:
    """The parts of jobs, by a job's id; whose the job is has been looked at before."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def rows(self, job_id: str, stage: Stage) -> int:
        """Tell how many rows are kept: those before this number."""
        ends = select(func.max(PARTS.c.first + PARTS.c.rows)).where(PARTS.c.job == job_id, PARTS.c.stage == stage)
        with self._database.read() as connection:
            return int(connection.execute(ends).scalar_one() or 0)

    def at(self, job_id: str, stage: Stage, row: int) -> Part:
        """Give the part that has a row. Raises UnknownJobError: there is none, or no longer."""
        these = (PARTS.c.job == job_id, PARTS.c.stage == stage, PARTS.c.first <= row)
        query = select(PARTS.c.first, PARTS.c.rows, PARTS.c.data).where(*these).order_by(PARTS.c.first.desc()).limit(1)
        with self._database.read() as connection:
            found = connection.execute(query).one_or_none()
        if found is None or row >= found.first + found.rows:
            raise UnknownJobError("this job has no such row, or it was deleted")
        return Part(found.first, found.rows, bytes(found.data))


def add(connection: Connection, job_id: str, stage: Stage, part: Part) -> None:
    """Keep a part, in a transaction that has seen whose the job is."""
    row = {"job": job_id, "stage": stage, "first": part.first, "rows": part.rows, "data": part.data}
    connection.execute(insert(PARTS).values(row))


def drop(connection: Connection, job_id: str, stages: Sequence[Stage] = (MADE, TOLD)) -> None:
    """Let go of all parts of some stages."""
    connection.execute(delete(PARTS).where(PARTS.c.job == job_id, PARTS.c.stage.in_(stages)))
