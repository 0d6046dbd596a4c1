"""What jobs come to in parts, on both databases."""

from datetime import timedelta

import pytest
from tests.store.conftest import Clock

from sawbill.store import Job, Part, Store, TooManyJobsError, UnknownJobError
from sawbill.store.kept.jobs import MOST_ATTEMPTS, MOST_ROWS_KEPT
from sawbill.store.kept.parts import MADE, TOLD

LEASE = timedelta(minutes=1)


def begun(store: Store, rows: int = 9) -> Job:
    store.jobs.add("comparison", "anna", b"1", rows)
    taken = store.jobs.take(LEASE)
    assert taken is not None and taken.rows == rows
    return taken


def test_the_part_that_has_a_row_is_found_until_the_job_is_gone(store: Store) -> None:
    job = begun(store)
    for part in (Part(0, 4, b"four"), Part(4, 2, b"two")):
        store.jobs.keep(job, LEASE, MADE, part, f"{part.first + part.rows}/9")
    assert [store.parts.at(job.id, MADE, row).data for row in (0, 3, 4, 5)] == [b"four", b"four", b"two", b"two"]
    assert (store.parts.rows(job.id, MADE), store.parts.rows(job.id, TOLD)) == (6, 0)
    assert store.jobs.get(job.id, "anna").detail == "6/9"
    with pytest.raises(UnknownJobError, match="no such row"):
        store.parts.at(job.id, MADE, 6)
    store.jobs.delete(job.id, "anna")
    assert store.parts.rows(job.id, MADE) == 0
    with pytest.raises(UnknownJobError):
        store.jobs.keep(job, LEASE, MADE, Part(6, 1, b"late"), "")
    assert not store.jobs.holds(job)


@pytest.mark.parametrize("done", [True, False])
def test_what_a_job_was_made_of_goes_when_it_ends_and_what_it_came_to_where_it_fails(store: Store, done: bool) -> None:
    job = begun(store)
    for stage in (MADE, TOLD):
        store.jobs.keep(job, LEASE, stage, Part(0, 9, b"nine"), "")
    if done:
        store.jobs.finish(job, b"head")
    else:
        store.jobs.fail(job, "no board is long enough")
    assert (store.parts.rows(job.id, MADE), store.parts.rows(job.id, TOLD)) == (0, 9 if done else 0)


def test_whoever_takes_a_job_over_goes_on_with_what_the_same_made_and_with_nothing_else(
    store: Store, clock: Clock
) -> None:
    lost = begun(store)
    store.jobs.go_on(lost, "0.1", 9)
    store.jobs.keep(lost, LEASE, MADE, Part(0, 3, b"three"), "")
    clock.now += LEASE
    again = store.jobs.take(LEASE)
    assert again is not None and store.jobs.holds(again) and not store.jobs.holds(lost)
    with pytest.raises(UnknownJobError, match="no longer"):
        store.jobs.keep(lost, LEASE, MADE, Part(3, 1, b"late"), "")
    store.jobs.go_on(again, "0.1", 9)
    assert store.parts.rows(again.id, MADE) == 3
    store.jobs.go_on(again, "0.2", 9)
    assert store.parts.rows(again.id, MADE) == 0


def test_a_job_is_given_up_that_gets_no_further_and_not_one_that_does(store: Store, clock: Clock) -> None:
    job = begun(store)
    for row in range(2 * MOST_ATTEMPTS):
        store.jobs.keep(job, LEASE, MADE, Part(row, 1, b"one"), "")
        clock.now += LEASE
        taken = store.jobs.take(LEASE)
        assert taken is not None
        job = taken
    for _ in range(MOST_ATTEMPTS - 2):
        clock.now += LEASE
        assert store.jobs.take(LEASE) is not None
    clock.now += LEASE
    assert store.jobs.take(LEASE) is None
    given_up = store.jobs.get(job.id, "anna")
    assert (given_up.state, given_up.rows, store.parts.rows(job.id, MADE)) == ("failed", 0, 0)


def test_a_job_that_cannot_be_done_now_is_put_off_so_often_and_then_failed_for_the_reason(
    store: Store, clock: Clock
) -> None:
    job = begun(store)
    for _ in range(MOST_ATTEMPTS - 1):
        assert store.jobs.put_off(job, "a row took too long")
        assert store.jobs.get(job.id, "anna").state == "running"
        clock.now += LEASE
        taken = store.jobs.take(LEASE)
        assert taken is not None
        job = taken
    assert not store.jobs.put_off(job, "a row took too long")
    failed = store.jobs.get(job.id, "anna")
    assert (failed.state, failed.detail, failed.rows) == ("failed", "a row took too long", 0)
    with pytest.raises(UnknownJobError):
        store.jobs.put_off(job, "late")


def test_the_jobs_of_an_owner_have_so_many_rows_those_that_ended_too(store: Store) -> None:
    job = begun(store, MOST_ROWS_KEPT - 5)
    store.jobs.finish(job, b"head")
    store.jobs.add("comparison", "anna", b"1", 5)
    store.jobs.add("comparison", "ben", b"1", 6)
    store.jobs.add("quote", "anna", b"1")
    with pytest.raises(TooManyJobsError, match=f"1 more would be over the limit of {MOST_ROWS_KEPT}"):
        store.jobs.add("comparison", "anna", b"1", 1)
    store.jobs.delete(job.id, "anna")
    store.jobs.add("comparison", "anna", b"1", 1)
