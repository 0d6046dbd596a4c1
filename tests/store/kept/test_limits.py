"""Rate limits by cost, on both databases."""

from functools import partial

from tests.store.conftest import Clock
from tests.store.together import at_once

from sawbill.store import Allowance, Spent, Store

TEN_A_MINUTE = Allowance(units=10, seconds=60)


def test_what_is_spent_comes_back_with_time(store: Store, clock: Clock) -> None:
    assert store.limits.spend("anna", 6, TEN_A_MINUTE) == Spent(True, left=4, full_in=36, retry_in=0)
    assert store.limits.spend("anna", 6, TEN_A_MINUTE) == Spent(False, left=4, full_in=36, retry_in=12)
    clock.move(seconds=11)
    assert not store.limits.spend("anna", 6, TEN_A_MINUTE).allowed
    clock.move(seconds=1)
    assert store.limits.spend("anna", 6, TEN_A_MINUTE) == Spent(True, left=0, full_in=60, retry_in=0)
    clock.move(hours=1)
    assert store.limits.spend("anna", 0, TEN_A_MINUTE).left == 10, "it does not save up"


def test_exactly_the_allowance_is_granted_and_one_more_is_not(store: Store) -> None:
    for units, seconds in ((10, 60), (7, 60), (3, 1), (1, 3600)):
        allowance = Allowance(units, seconds)
        granted = [store.limits.spend(f"{units}/{seconds}", 1, allowance).allowed for _ in range(units + 1)]
        assert granted == [True] * units + [False]


def test_a_wish_refused_costs_nothing_and_a_look_neither(store: Store) -> None:
    for cost in (11, 0, 10**6, 0):
        assert store.limits.spend("anna", cost, TEN_A_MINUTE).left == 10
    assert store.limits.spend("anna", 10, TEN_A_MINUTE).allowed


def test_what_is_given_back_can_be_spent_again_and_no_more(store: Store) -> None:
    assert store.limits.spend("anna", 10, TEN_A_MINUTE).left == 0
    assert store.limits.spend("anna", -4, TEN_A_MINUTE) == Spent(True, left=4, full_in=36, retry_in=0)
    for bucket in ("anna", "somebody new"):
        assert store.limits.spend(bucket, -100, TEN_A_MINUTE) == Spent(True, left=10, full_in=0, retry_in=0)
        assert store.limits.spend(bucket, 10, TEN_A_MINUTE).allowed
        assert not store.limits.spend(bucket, 1, TEN_A_MINUTE).allowed


def test_everyone_has_a_bucket_of_their_own(store: Store) -> None:
    store.limits.spend("anna", 10, TEN_A_MINUTE)
    assert store.limits.spend("ben", 10, TEN_A_MINUTE).allowed


def test_many_at_once_are_granted_the_allowance_and_no_more(store: Store) -> None:
    done, failed = at_once([partial(store.limits.spend, "anna", 1, TEN_A_MINUTE)] * 30)
    assert failed == []
    assert sum(spent.allowed for spent in done) == 10


def test_many_strangers_at_once_are_all_answered(store: Store, clock: Clock) -> None:
    for _ in range(3):
        done, failed = at_once([partial(store.limits.spend, f"guest {i}", 1, TEN_A_MINUTE) for i in range(20)])
        assert failed == []
        assert all(spent.allowed for spent in done)
        clock.move(hours=1)


def test_a_clock_that_ran_a_year_ahead_and_was_set_right_locks_nobody_out(store: Store, clock: Clock) -> None:
    clock.move(days=365)
    assert store.limits.spend("anna", 10, TEN_A_MINUTE).left == 0
    clock.move(days=-365)
    assert store.limits.spend("anna", 11, TEN_A_MINUTE).left == 10, "a look that is refused is not misled either"
    assert store.limits.spend("anna", 10, TEN_A_MINUTE) == Spent(True, left=0, full_in=60, retry_in=0)
    assert not store.limits.spend("anna", 1, TEN_A_MINUTE).allowed, "and it is an allowance as ever"


def test_two_machines_whose_clocks_differ_a_little_give_nobody_a_second_allowance(store: Store, clock: Clock) -> None:
    a_second = Allowance(units=10, seconds=1)
    clock.move(seconds=30)
    assert store.limits.spend("anna", 10, a_second).allowed
    clock.move(seconds=-30)
    assert store.limits.spend("anna", 1, a_second) == Spent(False, left=0, full_in=31, retry_in=31)
