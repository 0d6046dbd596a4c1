"""Jobs, on both databases."""

from datetime import timedelta

import pytest
from tests.store.conftest import Clock
from tests.store.together import at_once

from sawbill.store import Store, TooManyJobsError, UnknownJobError
from sawbill.store.kept.jobs import MOST_ATTEMPTS, MOST_OPEN

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


def test_an_owners_jobs_are_listed_the_newest_first_without_what_they_came_to(store: Store) -> None:
    first, second = (store.jobs.add("comparison", "anna", text) for text in (b"1", b"2"))
    store.jobs.add("comparison", "ben", b"3")
    taken = store.jobs.take(LEASE)
    assert taken is not None
    store.jobs.finish(taken, b"large")
    assert [(each.id, each.state, each.result) for each in store.jobs.list("anna")] == [
        (second.id, "waiting", None), (first.id, "done", None),
    ]  # fmt: skip
    assert len(store.jobs.list(None)) == 3
    assert [each.id for each in store.jobs.list("anna", most=1)] == [second.id]


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
        store.jobs.add("comparison", f"owner-{number}", str(number).encode())
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


def test_so_many_jobs_of_an_owner_may_wait_or_run_and_one_that_ends_makes_room(store: Store) -> None:
    for _ in range(MOST_OPEN):
        store.jobs.add("comparison", "anna", b"1")
    with pytest.raises(TooManyJobsError, match=f"{MOST_OPEN} of your jobs"):
        store.jobs.add("comparison", "anna", b"1")
    store.jobs.add("comparison", "ben", b"1")
    taken = store.jobs.take(LEASE)
    assert taken is not None and taken.owner == "anna"
    with pytest.raises(TooManyJobsError):
        store.jobs.add("comparison", "anna", b"1")
    store.jobs.finish(taken, b"done")
    store.jobs.add("comparison", "anna", b"1")


def test_forty_who_ask_at_once_get_five_jobs(store: Store) -> None:
    done, refused = at_once([lambda: store.jobs.add("comparison", "anna", b"1")] * 40)
    assert len(done) == MOST_OPEN == 5
    assert {type(error) for error in refused} == {TooManyJobsError}


def test_owners_have_their_turns_however_many_jobs_one_has(store: Store, clock: Clock) -> None:
    for text in (b"a1", b"a2", b"a3"):
        store.jobs.add("comparison", "anna", text)
    for owner in ("ben", "cid"):
        store.jobs.add("comparison", owner, owner.encode())
    done = []
    while (job := store.jobs.take(LEASE)) is not None:
        store.jobs.finish(job, b"done")
        store.jobs.delete(job.id, job.owner)  # which gives nobody another turn
        done.append(job.request)
        clock.move(seconds=1)
    assert done == [b"a1", b"ben", b"cid", b"a2", b"a3"]


def test_an_owner_of_whose_jobs_one_runs_waits_for_those_who_have_none(store: Store, clock: Clock) -> None:
    for owner, text in (("anna", b"a1"), ("anna", b"a2"), ("ben", b"b1"), ("ben", b"b2")):
        store.jobs.add("comparison", owner, text)
    first = store.jobs.take(LEASE)
    clock.move(seconds=1)
    second = store.jobs.take(LEASE)
    assert first is not None and second is not None
    assert (first.request, second.request) == (b"a1", b"b1")
    store.jobs.finish(second, b"done")
    third = store.jobs.take(LEASE)
    assert third is not None and third.request == b"b2", "anna had her turn longer ago, but one of hers runs"


def test_a_job_taken_by_a_clock_that_ran_ahead_is_taken_again(store: Store, clock: Clock) -> None:
    store.jobs.add("comparison", "anna", b"1")
    clock.move(days=365)
    assert store.jobs.take(LEASE) is not None
    clock.move(days=-365)
    again = store.jobs.take(LEASE)
    assert again is not None and again.attempts == 2


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
