"""Jobs: work beside the requests, taken by whichever worker is free, and by another where that one was killed."""

from __future__ import annotations

from collections.abc import Mapping
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
from sawbill.store.kept import parts
from sawbill.store.kept.parts import Stage
from sawbill.store.sql import database
from sawbill.store.sql.database import AnyRow, Database
from sawbill.store.sql.schema import JOB_TURNS, JOBS
from sawbill.store.values import Job, Part, make_id

MOST_ATTEMPTS: Final = 3
"""How often a job is begun without any rows kept meanwhile: one that kills its workers is given up."""
MOST_OPEN: Final = 5
"""How many jobs of one owner may wait or run."""
MOST_ROWS_KEPT: Final = 1_000_000
"""How many rows the jobs of one owner may have in all, those that have ended and are still kept among them."""

_OPEN: Final = ("waiting", "running")
_NEVER: Final = datetime(1970, 1, 1, tzinfo=UTC)


class Jobs:
    """The jobs. An `owner` of None reaches everybody's: for `admin`."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._clock = database, clock

    def add(self, kind: str, owner: str, request: bytes, rows: int = 0) -> Job:
        """Ask for a job to be done; rows: how many it is to have, if it is made row by row.

        Raises TooManyJobsError: MOST_OPEN of this owner's wait or run, or they would have more than MOST_ROWS_KEPT.
        """
        job = Job(make_id(), kind, owner, "waiting", 0, request, None, "", self._clock(), rows)
        row = {
            "id": job.id, "kind": kind, "owner": owner, "state": job.state, "attempts": 0, "request": request,
            "detail": "", "made": job.made, "rows": rows, "tries": 0, "maker": "",
        }  # fmt: skip
        mine = select(func.count()).where(JOBS.c.owner == owner, JOBS.c.state.in_(_OPEN))
        kept = select(func.coalesce(func.sum(JOBS.c.rows), 0)).where(JOBS.c.owner == owner)
        with self._database.write() as connection:
            _hold_turn(connection, owner)  # whoever adds for the same owner waits, and then counts this one too
            if connection.execute(mine).scalar_one() >= MOST_OPEN:
                raise TooManyJobsError(
                    f"{MOST_OPEN} of your jobs wait or run, which is the limit; wait for one to finish, or delete one"
                )
            if rows and (have := connection.execute(kept).scalar_one()) + rows > MOST_ROWS_KEPT:
                raise TooManyJobsError(
                    f"your jobs have {have} rows, and {rows} more would be over the limit of {MOST_ROWS_KEPT}; "
                    "delete a job that has ended, or ask for fewer rows"
                )
            connection.execute(insert(JOBS).values(row))
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
        of theirs the job that waits longest. A job whose lease ran out is taken again. One that was begun
        MOST_ATTEMPTS times since its last rows were kept has failed.
        """
        now = self._clock()
        lost = _lost(now, lease)
        with self._database.write() as connection:
            _give_up(connection, lost)
            found = connection.execute(_next(lost, now).with_for_update(of=JOBS, skip_locked=True)).one_or_none()
            if found is None:
                return None
            begun = {"attempts": JOBS.c.attempts + 1, "tries": JOBS.c.tries + 1}
            taken = {"state": "running", "lease": now + lease, **begun}
            connection.execute(update(JOBS).where(JOBS.c.number == found.number).values(taken))
            _take_turn(connection, found.owner, now)
            return _known(connection.execute(select(JOBS).where(JOBS.c.number == found.number)).one_or_none())

    def renew(self, job: Job, lease: timedelta, detail: str | None = None) -> None:
        """Keep a job for as long as the lease runs from now, and tell how far it is, if there is news of that.

        Raises UnknownJobError: it was cancelled, or another worker has taken it since.
        """
        with self._database.write() as connection:
            news = {} if detail is None else {"detail": detail}
            self._changed(connection, job, {"lease": self._clock() + lease, **news})

    def keep(self, job: Job, lease: timedelta, stage: Stage, part: Part, detail: str) -> None:
        """Keep some rows of what a job comes to, and renew it: whoever takes it next goes on after them.

        Raises UnknownJobError: it was cancelled, or another worker has taken it since.
        """
        values = {"lease": self._clock() + lease, "detail": detail, "tries": 1}
        with self._database.write() as connection:
            self._changed(connection, job, values)
            parts.add(connection, job.id, stage, part)

    def go_on(self, job: Job, maker: str, rows: int) -> None:
        """Go on with what is kept of a job, if it was made by the same; else none of it is kept any more.

        rows: how many it is to have, which whoever asked for it may not have known to say.
        Raises UnknownJobError: it was cancelled, or another worker has taken it since.
        """
        with self._database.write() as connection:
            before = connection.execute(select(JOBS.c.maker).where(*_held(job))).scalar_one_or_none()
            self._changed(connection, job, {"maker": maker, "rows": rows})
            if before != maker:
                parts.drop(connection, job.id)

    def holds(self, job: Job) -> bool:
        """Tell whether a job is still this worker's."""
        with self._database.read() as connection:
            return connection.execute(select(JOBS.c.id).where(*_held(job))).first() is not None

    def finish(self, job: Job, result: bytes) -> None:
        """Hand in what a job came to. Raises UnknownJobError: another worker has taken it since."""
        values = {"state": "done", "result": result, "lease": None}
        with self._database.write() as connection:
            self._changed(connection, job, values)
            parts.drop(connection, job.id, (parts.MADE,))

    def fail(self, job: Job, detail: str) -> None:
        """Tell why a job cannot be done. Raises UnknownJobError: another worker has taken it since."""
        with self._database.write() as connection:
            self._changed(connection, job, _failed(detail))
            parts.drop(connection, job.id)

    def put_off(self, job: Job, detail: str) -> bool:
        """Leave a job that cannot be done now until its lease has run out, and tell whether it is begun again then.

        It is not, and has failed for this reason, where it was begun MOST_ATTEMPTS times. Raises UnknownJobError: it
        was cancelled, or another worker has taken it since.
        """
        with self._database.read() as connection:
            tries = connection.execute(select(JOBS.c.tries).where(*_held(job))).scalar_one_or_none()
        if tries is None or tries >= MOST_ATTEMPTS:
            self.fail(job, detail)
            return False
        return True

    def _changed(self, connection: Connection, job: Job, values: Mapping[str, object]) -> None:
        if not connection.execute(update(JOBS).where(*_held(job)).values(**values)).rowcount:
            raise UnknownJobError("this job is no longer this worker's")


def _held(job: Job) -> tuple[ColumnElement[bool], ...]:
    """Whether a job is still that of who took it."""
    return JOBS.c.id == job.id, JOBS.c.state == "running", JOBS.c.attempts == job.attempts


def _lost(now: datetime, lease: timedelta) -> ColumnElement[bool]:
    """Whether a job's lease ran out, or was given by a clock that ran ahead and was set right since."""
    return and_(JOBS.c.state == "running", or_(JOBS.c.lease <= now, JOBS.c.lease > now + lease + SKEW))


def _failed(detail: str) -> dict[str, object]:
    """What a job is that has failed: none of its rows are kept."""
    return {"state": "failed", "detail": detail, "rows": 0, "lease": None}


def _give_up(connection: Connection, lost: ColumnElement[bool]) -> None:
    """Begin no job again that was lost so often."""
    spent = select(JOBS.c.id).where(lost, JOBS.c.tries >= MOST_ATTEMPTS).with_for_update(skip_locked=True)
    for job_id in connection.execute(spent).scalars().all():
        detail = "it was begun several times and never ended"
        connection.execute(update(JOBS).where(JOBS.c.id == job_id).values(_failed(detail)))
        parts.drop(connection, job_id)


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
    request = bytes(row.request)
    return Job(
        row.id, row.kind, row.owner, row.state, row.attempts, request, result, row.detail, row.made, row.rows
    )  # fmt: skip
