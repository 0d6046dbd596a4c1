"""The crew: the same answers as here, in order, whatever becomes of its processes."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from functools import partial
from types import MappingProxyType

import pytest

from sawbill.estimating.crew import Crew


def squared(shared: int, item: int) -> tuple[int, int]:
    return shared * item * item, os.getpid()


def slow_when_even(shared: None, item: int) -> int:
    time.sleep(0.05 * (item % 2 == 0))
    return item


def one_dies(owner: int, item: int) -> int:
    if item == 2 and os.getpid() != owner:
        os.kill(os.getpid(), signal.SIGKILL)
    return item


def refuse_three(shared: None, item: int) -> int:
    if item == 3:
        raise ValueError("three")
    return item


def values_of(shared: MappingProxyType[str, int], item: str) -> int:
    return shared[item]


@pytest.fixture(scope="module")
def crew() -> Iterator[Crew]:
    made = Crew(2)
    yield made
    made.close()


def test_answers_come_from_other_processes(crew: Crew) -> None:
    answers = list(crew.run(squared, 3, range(20)))
    assert [value for value, _ in answers] == [3 * n * n for n in range(20)]
    assert os.getpid() not in {process for _, process in answers}


def test_answers_come_in_the_order_of_the_questions_however_long_each_takes(crew: Crew) -> None:
    assert list(crew.run(slow_when_even, None, range(12))) == list(range(12))


def test_what_is_shared_may_hold_mappings_that_cannot_be_changed(crew: Crew) -> None:
    assert list(crew.run(values_of, MappingProxyType({"a": 1, "b": 2}), "ab")) == [1, 2]


def test_what_raises_does_so_where_its_answer_would_have_come(crew: Crew) -> None:
    answers = crew.run(refuse_three, None, range(100))
    assert [next(answers) for _ in range(3)] == [0, 1, 2]
    with pytest.raises(ValueError, match="three"):
        next(answers)
    assert list(crew.run(refuse_three, None, [1])) == [1], "the crew goes on"


def test_questions_are_taken_only_as_far_ahead_as_there_is_work_for(crew: Crew) -> None:
    taken: list[int] = []

    def questions() -> Iterator[int]:
        for n in range(1000):
            taken.append(n)
            yield n

    answers = crew.run(slow_when_even, None, questions())
    assert next(answers) == 0
    answers.close()  # type: ignore[attr-defined]
    assert len(taken) < 50


def test_what_a_process_that_dies_was_asked_is_answered_all_the_same(crew: Crew) -> None:
    assert list(crew.run(one_dies, os.getpid(), range(30))) == list(range(30))
    assert [value for value, _ in crew.run(squared, 1, range(4))] == [0, 1, 4, 9], "and there is a crew again"


def test_a_forked_child_leaves_the_crew_of_its_parent_alone(crew: Crew) -> None:
    list(crew.run(squared, 1, range(4)))
    child = os.fork()
    if not child:
        crew.close()
        os._exit(0)
    assert os.waitpid(child, 0)[1] == 0
    assert len(list(crew.run(squared, 1, range(8)))) == 8


LOADED: list[str] = []
"""What this process has, and one that is started anew has not."""


def loaded(shared: None, item: int) -> tuple[str, ...]:
    return tuple(LOADED)


def load_more(what: str) -> None:
    LOADED.append(what)


def test_one_that_is_begun_ahead_shares_what_is_loaded_and_first_does_what_it_is_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys.modules[__name__], "LOADED", ["before"])
    forked = Crew(2)
    forked.begin(partial(load_more, "first"))
    try:
        LOADED.append("afterwards")
        assert set(forked.run(loaded, None, range(8))) == {("before", "first")}
        assert list(forked.run(one_dies, os.getpid(), range(30))) == list(range(30))
        assert set(forked.run(loaded, None, range(8))) == {()}, "those that follow are started anew"
    finally:
        forked.close()


OWNER = """
import os, time
from sawbill.estimating.crew import Crew
from sawbill.trade.lengths import round_up

if __name__ == "__main__":
    list(Crew(2).run(round_up, 5, [1, 2, 3]))
    print("ready", flush=True)
    time.sleep(60)
"""


def test_the_processes_end_when_their_owner_is_killed(tmp_path: object) -> None:
    owner = subprocess.Popen([sys.executable, "-c", OWNER], stdout=subprocess.PIPE, text=True, start_new_session=True)
    assert owner.stdout is not None
    assert owner.stdout.readline() == "ready\n"
    session = owner.pid
    assert len(in_session(session)) >= 3, "the owner and its two at least"
    owner.kill()
    owner.wait()
    deadline = time.monotonic() + 10
    while in_session(session) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert in_session(session) == []
    owner.stdout.close()


def in_session(session: int) -> list[int]:
    """The processes of a session that still run."""
    listed = subprocess.run(["ps", "-o", "pid=,stat=", "-s", str(session)], capture_output=True, text=True, check=False)
    rows = [line.split() for line in listed.stdout.splitlines()]
    return [int(pid) for pid, state in rows if not state.startswith("Z")]
