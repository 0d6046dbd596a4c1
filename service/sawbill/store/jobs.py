"""Jobs: work beside the requests, taken by whichever worker is free, and by another where that one was killed."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from sqlalchemy import and_, delete, func, insert, or_, select, update

from sawbill.store.clock import Clock
from sawbill.store.database import AnyRow, Database
from sawbill.store.errors import UnknownJobError
from sawbill.store.schema import JOBS
from sawbill.store.secret import make_id
from sawbill.store.values import Job

MOST_ATTEMPTS: Final = 3
"""How often a job is begun: one that kills its workers is given up."""


class Jobs:
    """The jobs. An `owner` of None reaches everybody's: for `admin`."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._clock = database, clock

    def add(self, kind: str, owner: str, request: bytes) -> Job:
        """Ask for a job to be done."""
        job = Job(make_id(), kind, owner, "waiting", 0, request, None, "", self._clock())
        row = {
            "id": job.id, "kind": kind, "owner": owner, "state": job.state, "attempts": 0, "request": request,
            "detail": "", "made": job.made,
        }  # fmt: skip
        with self._database.write() as connection:
            connection.execute(insert(JOBS).values(row))
        return job

    def get(self, job_id: str, owner: str | None) -> Job:
        """Give a job as it stands. Raises UnknownJobError: there is none of this owner."""
        mine = () if owner is None else (JOBS.c.owner == owner,)
        with self._database.read() as connection:
            row = connection.execute(select(JOBS).where(JOBS.c.id == job_id, *mine)).one_or_none()
        return _known(row)

    def count_open(self, owner: str) -> int:
        """Count the jobs of an owner that have not ended."""
        query = select(func.count()).where(JOBS.c.owner == owner, JOBS.c.state.in_(("waiting", "running")))
        with self._database.read() as connection:
            return int(connection.execute(query).scalar_one())

    def delete(self, job_id: str, owner: str | None) -> None:
        """Cancel a job, or forget what it came to. Raises UnknownJobError: there is none of this owner."""
        mine = () if owner is None else (JOBS.c.owner == owner,)
        with self._database.write() as connection:
            if not connection.execute(delete(JOBS).where(JOBS.c.id == job_id, *mine)).rowcount:
                raise UnknownJobError("there is no job of this id")

    def clear(self, age: timedelta) -> None:
        """Forget the jobs that have ended and were asked for so long ago."""
        ended = (JOBS.c.state.in_(("done", "failed")), JOBS.c.made <= self._clock() - age)
        with self._database.write() as connection:
            connection.execute(delete(JOBS).where(*ended))

    def take(self, lease: timedelta) -> Job | None:
        """Take the next job for as long as the lease runs, the longest waiting first; None: there is nothing to do.

        A job whose lease ran out is taken again, up to MOST_ATTEMPTS times in all, and then has failed.
        """
        now = self._clock()
        lost = and_(JOBS.c.state == "running", JOBS.c.lease <= now)
        free = or_(JOBS.c.state == "waiting", lost)
        spent = "it was begun several times and never ended"
        with self._database.write() as connection:
            given_up = update(JOBS).where(lost, JOBS.c.attempts >= MOST_ATTEMPTS)
            connection.execute(given_up.values(state="failed", lease=None, detail=spent))
            query = select(JOBS.c.number).where(free).order_by(JOBS.c.number).limit(1)
            number = connection.execute(query.with_for_update(skip_locked=True)).scalar_one_or_none()
            if number is None:
                return None
            taken = {"state": "running", "attempts": JOBS.c.attempts + 1, "lease": now + lease}
            connection.execute(update(JOBS).where(JOBS.c.number == number).values(taken))
            return _known(connection.execute(select(JOBS).where(JOBS.c.number == number)).one_or_none())

    def renew(self, job: Job, lease: timedelta, detail: str) -> None:
        """Keep a job for as long as the lease runs from now, and tell how far it is.

        Raises UnknownJobError: it was cancelled, or another worker has taken it since.
        """
        now = self._clock()
        self._change(job, lease=now + lease, detail=detail)

    def finish(self, job: Job, result: bytes) -> None:
        """Hand in what a job came to. Raises UnknownJobError: another worker has taken it since."""
        self._end(job, state="done", result=result)

    def fail(self, job: Job, detail: str) -> None:
        """Tell why a job cannot be done. Raises UnknownJobError: another worker has taken it since."""
        self._end(job, state="failed", detail=detail)

    def _end(self, job: Job, **values: object) -> None:
        self._change(job, lease=None, **values)

    def _change(self, job: Job, **values: object) -> None:
        mine = (JOBS.c.id == job.id, JOBS.c.state == "running", JOBS.c.attempts == job.attempts)
        with self._database.write() as connection:
            if not connection.execute(update(JOBS).where(*mine).values(**values)).rowcount:
                raise UnknownJobError("this job is no longer this worker's")


def _known(row: AnyRow | None) -> Job:
    if row is None:
        raise UnknownJobError("there is no job of this id")
    result = None if row.result is None else bytes(row.result)
    return Job(row.id, row.kind, row.owner, row.state, row.attempts, bytes(row.request), result, row.detail, row.made)
