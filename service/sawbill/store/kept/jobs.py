"""Jobs: work beside the requests, taken by whichever worker is free, and by another where that one was killed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    and_,
    delete,
    func,
    insert,
    literal,
    null,
    or_,
    select,
    update,
)

from sawbill.store.clock import SKEW, Clock
from sawbill.store.errors import TooManyJobsError, UnknownJobError
from sawbill.store.sql import database
from sawbill.store.sql.database import AnyRow, Database
from sawbill.store.sql.schema import JOB_TURNS, JOBS
from sawbill.store.values import Job, make_id

MOST_ATTEMPTS: Final = 3
"""How often a job is begun: one that kills its workers is given up."""
MOST_OPEN: Final = 5
"""How many jobs of one owner may wait or run."""

_OPEN: Final = ("waiting", "running")
_NEVER: Final = datetime(1970, 1, 1, tzinfo=UTC)


class Jobs:
    """The jobs. An `owner` of None reaches everybody's: for `admin`."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._clock = database, clock

    def add(self, kind: str, owner: str, request: bytes) -> Job:
        """Ask for a job to be done. Raises TooManyJobsError: MOST_OPEN of this owner's wait or run."""
        job = Job(make_id(), kind, owner, "waiting", 0, request, None, "", self._clock())
        row = {
            "id": job.id, "kind": kind, "owner": owner, "state": job.state, "attempts": 0, "request": request,
            "detail": "", "made": job.made,
        }  # fmt: skip
        mine = select(func.count()).where(JOBS.c.owner == owner, JOBS.c.state.in_(_OPEN)).scalar_subquery()
        values = select(*(literal(value, JOBS.c[name].type) for name, value in row.items())).where(mine < MOST_OPEN)
        with self._database.write() as connection:
            _hold_turn(connection, owner)  # whoever adds for the same owner waits, and then counts this one too
            if connection.execute(insert(JOBS).from_select(list(row), values).returning(JOBS.c.id)).first() is None:
                what = (
                    f"{MOST_OPEN} of your jobs wait or run, which is the limit; wait for one to finish, or delete one"
                )
                raise TooManyJobsError(what)
        return job

    def get(self, job_id: str, owner: str | None) -> Job:
        """Give a job as it stands. Raises UnknownJobError: there is none of this owner."""
        mine = () if owner is None else (JOBS.c.owner == owner,)
        with self._database.read() as connection:
            row = connection.execute(select(JOBS).where(JOBS.c.id == job_id, *mine)).one_or_none()
        return _known(row)

    def list(self, owner: str | None, most: int = 50) -> tuple[Job, ...]:
        """List jobs as they stand, the newest first, at most so many; what they came to is left out."""
        query = select(*(each for each in JOBS.c if each.name != "result"), null().label("result"))
        query = query.order_by(JOBS.c.number.desc()).limit(most)
        if owner is not None:
            query = query.where(JOBS.c.owner == owner)
        with self._database.read() as connection:
            return tuple(map(_known, connection.execute(query)))

    def delete(self, job_id: str, owner: str | None) -> None:
        """Cancel a job, or delete its result. Raises UnknownJobError: there is none of this owner."""
        mine = () if owner is None else (JOBS.c.owner == owner,)

        def remove(connection: Connection) -> None:
            if not connection.execute(delete(JOBS).where(JOBS.c.id == job_id, *mine)).rowcount:
                raise UnknownJobError("there is no job with this id")

        self._database.make_room(remove)

    def clear(self, age: timedelta) -> None:
        """Forget the jobs that have ended and were asked for so long ago."""
        ended = (JOBS.c.state.in_(("done", "failed")), JOBS.c.made <= self._clock() - age)
        with self._database.write() as connection:
            connection.execute(delete(JOBS).where(*ended))

    def take(self, lease: timedelta) -> Job | None:
        """Take the next job for as long as the lease runs; None: there is nothing to do.

        Owners have their turns: next is one of whose jobs the fewest run, among them who had a turn longest ago, and
        of theirs the job that waits longest. A job whose lease ran out is taken again, up to MOST_ATTEMPTS times in
        all, and then has failed.
        """
        now = self._clock()
        lost = _lost(now, lease)
        spent = "it was begun several times and never ended"
        with self._database.write() as connection:
            given_up = update(JOBS).where(lost, JOBS.c.attempts >= MOST_ATTEMPTS)
            connection.execute(given_up.values(state="failed", lease=None, detail=spent))
            found = connection.execute(_next(lost, now).with_for_update(of=JOBS, skip_locked=True)).one_or_none()
            if found is None:
                return None
            taken = {"state": "running", "attempts": JOBS.c.attempts + 1, "lease": now + lease}
            connection.execute(update(JOBS).where(JOBS.c.number == found.number).values(taken))
            _take_turn(connection, found.owner, now)
            return _known(connection.execute(select(JOBS).where(JOBS.c.number == found.number)).one_or_none())

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


def _lost(now: datetime, lease: timedelta) -> ColumnElement[bool]:
    """Whether a job's lease ran out, or was given by a clock that ran ahead and was set right since."""
    return and_(JOBS.c.state == "running", or_(JOBS.c.lease <= now, JOBS.c.lease > now + lease + SKEW))


def _next(lost: ColumnElement[bool], now: datetime) -> Select[Any]:
    """Choose the job to take next."""
    others = JOBS.alias()
    runs = (others.c.owner == JOBS.c.owner, others.c.state == "running", others.c.lease > now)
    running = select(func.count()).where(*runs).scalar_subquery()
    turn = select(JOB_TURNS.c.taken).where(JOB_TURNS.c.owner == JOBS.c.owner).scalar_subquery()
    waits = or_(JOBS.c.state == "waiting", lost)
    order = (running, func.coalesce(turn, literal(_NEVER, JOB_TURNS.c.taken.type)), JOBS.c.number)
    return select(JOBS.c.number, JOBS.c.owner).where(waits).order_by(*order).limit(1)


def _hold_turn(connection: Connection, owner: str) -> None:
    """Let nobody else of this owner add a job in this transaction."""
    row = database.insert(connection, JOB_TURNS).values(owner=owner, taken=_NEVER)
    connection.execute(row.on_conflict_do_update(index_elements=[JOB_TURNS.c.owner], set_={"owner": owner}))


def _take_turn(connection: Connection, owner: str, now: datetime) -> None:
    row = database.insert(connection, JOB_TURNS).values(owner=owner, taken=now)
    connection.execute(row.on_conflict_do_update(index_elements=[JOB_TURNS.c.owner], set_={"taken": now}))


def _known(row: AnyRow | None) -> Job:
    if row is None:
        raise UnknownJobError("there is no job with this id")
    result = None if row.result is None else bytes(row.result)
    return Job(row.id, row.kind, row.owner, row.state, row.attempts, bytes(row.request), result, row.detail, row.made)
