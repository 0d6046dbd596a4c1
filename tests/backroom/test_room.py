"""The back room as it runs: tasks handed to real engines, killed, replaced, bounded."""

import os
import signal
import time
from contextlib import suppress
from pathlib import Path

import pytest
from tests.backroom import tasks
from tests.web.serving import children

from sawbill.backroom import (
    FailedError,
    FullError,
    GoneError,
    Here,
    Limits,
    Rank,
    Remote,
    Task,
    TookTooLongError,
    TooLargeError,
    opened,
    packed,
    several,
)
from sawbill.backroom.starting import Beat, Keeper

SEAT = 0.2
SMALL = Limits(engines=2, bench=2, seat=SEAT, queue=6, share=4, memory=100 * 2**20)


@pytest.fixture(scope="module")
def room():
    with opened(SMALL) as found:
        yield found


def done(room, function, *arguments, **more):
    return room.submit(Task(function, arguments, **more)).result(30).value


def counts(room):
    return room.told().result(5).value


def wait_until(holds, seconds=10):
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.02)


def alive(pid):
    with suppress(OSError):
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    return False


@pytest.mark.parametrize("there", ["here", "remote"])
def test_a_task_comes_to_the_same_wherever_it_is_done(room, there):
    asked = Here() if there == "here" else room
    answer = asked.submit(Task(tasks.add, (1, 2))).result(30)
    assert answer.value == 3
    assert 0 <= answer.seconds < 5
    shared = [packed(str(n), "x" * n) for n in range(12)]
    for _ in range(2):
        assert done(asked, tasks.total, shared=tuple(shared)) == sum(range(12)), "more than an engine holds"


def test_many_answers_come_in_the_order_of_their_questions(room):
    found = [answer.value for answer in several(room, (Task(tasks.add, (n, 0)) for n in range(40)), 4)]
    assert found == [*range(40)]


def test_where_too_many_wait_the_rest_of_many_waits_too_and_the_first_is_refused(room):
    busy = [room.submit(Task(tasks.who, (1.0,), caller="a")) for _ in range(6)]
    with pytest.raises(FullError):
        done(room, tasks.add, 1, 2, caller="a")
    assert done(room, tasks.add, 1, 2, caller="b") == 3, "another's share is another's"
    for each in busy:
        each.result(30)
    found = [answer.value for answer in several(room, (Task(tasks.add, (n, 0)) for n in range(40)), 30)]
    assert found == [*range(40)]


def test_what_takes_too_long_is_ended_and_another_engine_takes_its_place(room):
    before = counts(room)
    began = time.monotonic()
    with pytest.raises(TookTooLongError):
        done(room, tasks.who, 60, seconds=0.5)
    assert 0.4 < time.monotonic() - began < 5
    assert counts(room)["started"] > before["started"]
    assert done(room, tasks.add, 1, 2) == 3


def test_what_takes_too_much_memory_is_ended_and_the_next_finds_an_engine(room):
    assert done(room, tasks.grow, 20) == 20 * 2**20
    with pytest.raises(TooLargeError):
        done(room, tasks.grow, 1000)
    assert done(room, tasks.add, 1, 2) == 3


def test_a_fault_of_a_task_is_told_with_its_trace_and_costs_no_engine(room):
    before = counts(room)["started"]
    with pytest.raises(FailedError, match="ValueError: a fault"):
        done(room, tasks.fail)
    assert counts(room)["started"] == before


def test_a_task_whose_engine_was_killed_is_done_once_more_and_not_for_ever(room, tmp_path):
    assert done(room, tasks.die, str(tmp_path / "once"), 1) == "alive"
    with pytest.raises(GoneError):
        done(room, tasks.die, str(tmp_path / "for ever"), 99)
    assert len((tmp_path / "for ever").read_text()) == 2


def test_a_task_that_nobody_waits_for_ends_with_all_that_it_started(room, tmp_path):
    mark = tmp_path / "mark"
    future = room.submit(Task(tasks.start_another, (str(mark),)))
    wait_until(lambda: mark.exists() and mark.read_text().endswith(" "))
    pids = [int(each) for each in mark.read_text().split()]
    assert all(map(alive, pids))
    assert future.cancel()
    wait_until(lambda: not any(map(alive, pids)), 2)
    assert done(room, tasks.add, 1, 2) == 3


def test_a_task_that_waits_and_is_cancelled_is_never_begun(room, tmp_path):
    busy = [room.submit(Task(tasks.who, (0.5,))) for _ in range(2)]
    mark = tmp_path / "mark"
    assert room.submit(Task(tasks.note, ((str(mark), "x"),))).cancel()
    for each in busy:
        each.result(30)
    assert done(room, tasks.add, 1, 2) == 3
    assert not mark.exists()


def test_what_takes_long_gives_up_its_seat_and_others_are_answered_beside_it(room):
    long = [room.submit(Task(tasks.turn, (1.0,), caller=f"long {n}", seconds=120)) for n in range(2)]
    wait_until(lambda: counts(room)["benched"] == 2)
    began = time.monotonic()
    for _ in range(5):
        done(room, tasks.add, 1, 2, caller="short")
    assert time.monotonic() - began < 1
    assert [each.result(150).value for each in long] == [15, 15], "slowed, and finished"
    assert counts(room)["benched"] == 0
    assert done(room, tasks.turn, 0.0) == os.getpriority(os.PRIO_PROCESS, 0), "who comes next has an engine that is not"


def test_where_many_take_long_whoever_asks_most_gives_way(room):
    greedy = [room.submit(Task(tasks.turn, (1.5,), caller="greedy", seconds=120)) for _ in range(2)]
    wait_until(lambda: counts(room)["benched"] == 2)
    honest = room.submit(Task(tasks.turn, (0.5,), caller="honest", seconds=120))
    assert honest.result(150).value == 15
    ended = [each.exception(150) for each in greedy]
    assert [type(each) for each in ended] == [TookTooLongError, type(None)]


def test_whoever_wants_one_answer_does_not_wait_for_who_has_all_seats():
    with opened(Limits(engines=2, bench=0, guests=1, seat=30)) as room:
        many = [room.submit(Task(tasks.who, (10.0,), caller="many", rank=Rank.ROW)) for _ in range(4)]
        one_more = room.submit(Task(tasks.who, (), caller="many"))
        engines = {room.submit(Task(tasks.who, (), caller=f"one {n}")).result(30).value for n in range(4)}
        assert not any(each.done() for each in [*many, one_more])
        assert len(engines) == 1, "the one that nobody of the many may have"


def test_those_who_wait_are_served_by_rank_and_in_turn():
    with opened(Limits(engines=1, queue=10, share=10)) as room:
        done(room, tasks.add, 1, 2)
        busy = room.submit(Task(tasks.who, (0.5,)))
        mark = str(Path(os.environ.get("TMPDIR", "/tmp")) / f"turns-{os.getpid()}")
        asked = [("a", Rank.ROW, "4"), ("a", Rank.SINGLE, "1"), ("a", Rank.SINGLE, "3"), ("b", Rank.SINGLE, "2")]
        waiting = [room.submit(Task(tasks.note, ((mark, text),), caller=who, rank=rank)) for who, rank, text in asked]
        for each in [busy, *waiting]:
            each.result(30)
        assert Path(mark).read_text() == "1234"
        Path(mark).unlink()


def test_a_room_that_is_killed_is_started_again_and_what_was_asked_is_answered():
    keeper = Keeper(SMALL)
    keeper.see_to_it()
    try:
        room = Remote(keeper.address)
        first = done(room, tasks.who)
        future = room.submit(Task(tasks.who, (0.3,)))
        (pid,) = [each for each in children(os.getpid()) if first in children(each)]
        os.kill(pid, signal.SIGKILL)
        wait_until(lambda: keeper.see_to_it() or keeper.started == 2)
        assert future.result(30).value != first
        wait_until(lambda: not alive(first), 2)
    finally:
        keeper.kill()


def test_a_room_that_stands_still_is_ended_and_what_was_asked_is_answered_by_another(monkeypatch):
    monkeypatch.setattr("sawbill.backroom.starting.STUCK", 1.0)
    keeper = Keeper(SMALL)
    keeper.see_to_it()
    try:
        room = Remote(keeper.address)
        first = done(room, tasks.who)
        (pid,) = [each for each in children(os.getpid()) if first in children(each)]
        os.kill(pid, signal.SIGSTOP)
        future = room.submit(Task(tasks.who, ()))
        wait_until(lambda: keeper.see_to_it() or keeper.stuck == 1)
        keeper.see_to_it()
        assert (keeper.stuck, keeper.started) == (1, 2), "the new one has its own time to begin in"
        assert future.result(30).value != first
        wait_until(lambda: not alive(first), 2)
    finally:
        keeper.kill()


def test_a_room_is_missed_after_half_a_minute_in_which_its_keeper_was_awake():
    beat = Beat()
    assert [second for second in range(33) if beat.missing(second)] == [31, 32]
    beat.give()
    assert not any(beat.missing(second) for second in range(33, 60)), "it is back"
    assert not beat.missing(100), "whoever keeps it was asleep himself"
    assert [second for second in range(101, 133) if beat.missing(second)] == [131, 132]


def test_where_there_is_no_room_nobody_waits_for_ever(monkeypatch):
    monkeypatch.setattr("sawbill.backroom.remote.PATIENCE", 0.3)
    with pytest.raises(GoneError):
        done(Remote("\0sawbill-nobody"), tasks.add, 1, 2)


def test_engines_end_when_their_room_is_killed_even_while_they_work(tmp_path):
    keeper = Keeper(SMALL)
    keeper.see_to_it()
    room, mark = Remote(keeper.address), tmp_path / "mark"
    room.submit(Task(tasks.start_another, (str(mark),)))
    wait_until(lambda: mark.exists() and mark.read_text().endswith(" "))
    engine = int(mark.read_text().split()[0])
    keeper.kill()
    wait_until(lambda: not alive(engine), 2)
    os.kill(int(mark.read_text().split()[1]), signal.SIGKILL)
