"""The same task asked for by many at once: done once, and nobody depends on who came first."""

import threading
import time
from concurrent.futures import CancelledError, ThreadPoolExecutor
from pathlib import Path

import pytest
from tests.backroom import tasks
from tests.backroom.test_room import SMALL, wait_until

from sawbill.backroom import FailedError, Here, Once, Rank, Task, TookTooLongError, opened, packed


@pytest.fixture(scope="module")
def room():
    with opened(SMALL) as found:
        yield Once(found)


@pytest.fixture
def mark(tmp_path):
    """A file in which each begun task leaves a mark, and what the tasks ask for."""
    return tmp_path / "mark"


def begun(mark):
    return len(mark.read_text()) if mark.exists() else 0


def marking(mark, wait, **more):
    return Task(tasks.mark_and_wait, (str(mark), wait), **more)


@pytest.mark.parametrize("there", ["here", "remote"])
def test_fifty_who_ask_the_same_at_once_get_one_answer_whose_time_counts_once(room, mark, there):
    asked, start = Once(Here()) if there == "here" else room, threading.Barrier(50)

    def ask():
        start.wait()
        return asked.submit(marking(mark, 0.5)).result(30)

    with ThreadPoolExecutor(50) as many:
        answers = [each.result() for each in [many.submit(ask) for _ in range(50)]]
    assert len({answer.value for answer in answers}) == 1
    assert begun(mark) == 1, "more than may wait, and none is refused"
    assert len([answer for answer in answers if answer.seconds >= 0.5]) == 1
    assert asked.submit(marking(mark, 0.0)).result(30) and begun(mark) == 2, "what is asked afterwards is done anew"


@pytest.mark.parametrize(
    "other",
    [
        {"caller": "b"}, {"rank": Rank.ROW}, {"arguments": ("{mark}", 0.30001)}, {"arguments": ("{mark}", 0.3, True)},
        {"shared": (packed("book", "other"),)},
    ],
    ids=lambda other: next(iter(other)),
)  # fmt: skip
def test_what_differs_in_anything_is_done_for_itself(room, mark, other):
    arguments = tuple(str(mark) if each == "{mark}" else each for each in other.get("arguments", ("{mark}", 0.3)))
    plain = {"caller": "a", "rank": Rank.SINGLE, "shared": (packed("book", "one"),), **other}
    own = Task(tasks.mark_and_wait, (str(mark), 0.3, 1), caller="a", shared=(packed("book", "one"),))
    both = [room.submit(own), room.submit(Task(tasks.mark_and_wait, **{**plain, "arguments": arguments}))]
    assert [each.result(30) for each in both] and begun(mark) == 2


def test_who_came_first_may_leave_and_the_others_are_answered_all_the_same(room, mark):
    first, *others = [room.submit(marking(mark, 0.5)) for _ in range(4)]
    wait_until(lambda: begun(mark) == 1)
    assert first.cancel()
    answers = [each.result(30) for each in others]
    assert begun(mark) == 1 and answers[0].seconds >= 0.5, "who is left counts its time"


def test_when_the_last_leaves_the_work_ends_and_who_asks_then_has_it_done_anew(room, mark):
    left = [room.submit(marking(mark, 60)) for _ in range(3)]
    wait_until(lambda: begun(mark) == 1)
    before = room.told().result(5).value.get("left", 0)
    assert all(each.cancel() for each in left)
    wait_until(lambda: room.told().result(5).value.get("left", 0) == before + 1)
    with pytest.raises(CancelledError):
        left[0].result(0)
    again = room.submit(marking(mark, 60))
    wait_until(lambda: begun(mark) == 2)
    again.cancel()


def test_an_engine_that_is_killed_costs_none_of_them_his_answer(room, mark):
    asked = [room.submit(Task(tasks.die, (str(mark), 1))) for _ in range(5)]
    assert {each.result(30).value for each in asked} == {"alive"}
    assert begun(mark) == 2


def test_a_fault_is_told_to_all_and_remembered_by_none(room, mark):
    asked = [room.submit(Task(tasks.fail_after, (str(mark), 0.3))) for _ in range(5)]
    for each in asked:
        with pytest.raises(FailedError, match="ValueError: a fault"):
            each.result(30)
    with pytest.raises(FailedError):
        room.submit(Task(tasks.fail_after, (str(mark), 0.3))).result(30)
    assert begun(mark) == 2


def test_who_has_much_more_time_than_the_first_is_not_ended_with_him(room, mark):
    hurried = room.submit(marking(mark, 1.0, seconds=0.4))
    patient = [room.submit(marking(mark, 1.0, seconds=20)) for _ in range(3)]
    with pytest.raises(TookTooLongError):
        hurried.result(30)
    assert len({each.result(30).value for each in patient}) == 1
    assert begun(mark) == 2


def test_what_takes_too_long_is_tried_once_for_all_who_have_as_little_time(room, mark):
    began = time.monotonic()
    asked = [room.submit(marking(mark, 60, seconds=0.6)) for _ in range(5)]
    for each in asked:
        with pytest.raises(TookTooLongError):
            each.result(30)
    assert begun(mark) == 1 and time.monotonic() - began < 5


def test_where_a_task_cannot_be_handed_in_nobody_waits_for_it():
    class Closed:
        def submit(self, task):
            raise OSError("closed")

    asked = Once(Closed())
    for _ in range(2):
        with pytest.raises(OSError, match="closed"):
            asked.submit(Task(tasks.add, (1, 2))).result(1)


def test_nothing_is_held_of_what_is_done(room, mark):
    Path(mark).touch()
    future = room.submit(marking(mark, 0.0))
    future.result(30)
    wait_until(lambda: not room._flights)
