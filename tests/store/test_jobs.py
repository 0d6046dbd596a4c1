"""Jobs, on both databases."""

from datetime import timedelta

import pytest
from tests.store.conftest import Clock
from tests.store.together import at_once

from sawbill.store import Store, UnknownJobError
from sawbill.store.jobs import MOST_ATTEMPTS

LEASE = timedelta(minutes=1)


def test_jobs_are_taken_in_order_and_handed_in(store: Store) -> None:
    first, second = (store.jobs.add("comparison", "anna", text) for text in (b"1", b"2"))
    taken = store.jobs.take(LEASE)
    assert taken is not None
    assert (taken.id, taken.state, taken.attempts, taken.request) == (first.id, "running", 1, b"1")
    store.jobs.finish(taken, b"done")
    other = store.jobs.take(LEASE)
    assert other is not None and other.id == second.id
    store.jobs.fail(other, "no board is long enough")
    assert store.jobs.take(LEASE) is None
    assert store.jobs.get(first.id, "anna").result == b"done"
    assert store.jobs.get(second.id, None).detail == "no board is long enough"
    with pytest.raises(UnknownJobError):
        store.jobs.get(first.id, "ben")


def test_a_job_whose_worker_died_is_taken_again_and_the_dead_cannot_hand_it_in(store: Store, clock: Clock) -> None:
    job = store.jobs.add("comparison", "anna", b"1")
    lost = store.jobs.take(LEASE)
    assert store.jobs.take(LEASE) is None
    clock.now += LEASE
    again = store.jobs.take(LEASE)
    assert lost is not None and again is not None and again.attempts == 2
    with pytest.raises(UnknownJobError, match="no longer"):
        store.jobs.finish(lost, b"late")
    store.jobs.finish(again, b"in time")
    assert store.jobs.get(job.id, "anna").result == b"in time"


def test_a_job_that_kills_its_workers_is_given_up(store: Store, clock: Clock) -> None:
    job = store.jobs.add("comparison", "anna", b"1")
    for _ in range(MOST_ATTEMPTS):
        assert store.jobs.take(LEASE) is not None
        clock.now += LEASE
    assert store.jobs.take(LEASE) is None
    assert store.jobs.get(job.id, "anna").state == "failed"
    assert "never ended" in store.jobs.get(job.id, "anna").detail


def test_workers_at_once_never_take_the_same_job(store: Store) -> None:
    for number in range(10):
        store.jobs.add("comparison", "anna", str(number).encode())
    done, failed = at_once([lambda: store.jobs.take(LEASE)] * 10)
    assert failed == []
    assert len({job.id for job in done if job is not None}) == len([job for job in done if job is not None]) >= 1


def test_a_sign_of_life_keeps_a_job_and_tells_how_far_it_is(store: Store, clock: Clock) -> None:
    job = store.jobs.add("comparison", "anna", b"1")
    taken = store.jobs.take(LEASE)
    assert taken is not None
    clock.now += LEASE * 3 / 4
    store.jobs.renew(taken, LEASE, "3/9")
    clock.now += LEASE * 3 / 4
    assert store.jobs.take(LEASE) is None
    assert store.jobs.get(job.id, "anna").detail == "3/9"
    clock.now += LEASE
    assert store.jobs.take(LEASE) is not None
    with pytest.raises(UnknownJobError, match="no longer"):
        store.jobs.renew(taken, LEASE, "4/9")


def test_a_job_that_is_deleted_is_nobodys_any_more(store: Store) -> None:
    job = store.jobs.add("comparison", "anna", b"1")
    with pytest.raises(UnknownJobError):
        store.jobs.delete(job.id, "ben")
    taken = store.jobs.take(LEASE)
    assert taken is not None
    store.jobs.delete(job.id, "anna")
    for hand_in in (lambda: store.jobs.finish(taken, b"late"), lambda: store.jobs.renew(taken, LEASE, "1/9")):
        with pytest.raises(UnknownJobError):
            hand_in()
    with pytest.raises(UnknownJobError):
        store.jobs.get(job.id, "anna")
    with pytest.raises(UnknownJobError):
        store.jobs.delete(job.id, None)


def test_jobs_that_have_not_ended_are_counted_by_owner(store: Store) -> None:
    for owner in ("anna", "anna", "ben"):
        store.jobs.add("comparison", owner, b"1")
    taken = store.jobs.take(LEASE)
    assert taken is not None
    assert (store.jobs.count_open("anna"), store.jobs.count_open("ben"), store.jobs.count_open("cid")) == (2, 1, 0)
    store.jobs.finish(taken, b"done")
    assert store.jobs.count_open("anna") == 1


def test_old_jobs_that_have_ended_are_forgotten_and_no_others(store: Store, clock: Clock) -> None:
    done, waiting = (store.jobs.add("comparison", "anna", text) for text in (b"1", b"2"))
    taken = store.jobs.take(LEASE)
    assert taken is not None
    store.jobs.finish(taken, b"done")
    day = timedelta(days=1)
    clock.now += day - timedelta(seconds=1)
    store.jobs.clear(day)
    assert store.jobs.get(done.id, "anna").result == b"done"
    clock.now += timedelta(seconds=1)
    store.jobs.clear(day)
    with pytest.raises(UnknownJobError):
        store.jobs.get(done.id, "anna")
    assert store.jobs.get(waiting.id, "anna").state == "waiting"
