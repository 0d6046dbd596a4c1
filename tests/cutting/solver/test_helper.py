"""The helper process: shared by threads, left behind by forks, killed at its limit, gone with its owner."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from sawbill.cutting.solver.answers import Answer, Effort, Outcome, Programme
from sawbill.cutting.solver.helper import HELPER, Helper

# least 3 x + 4 y with 2 x + 3 y >= 7: x = 2, y = 1 at 10
SMALL = Programme((3, 4), (((0, 2),), ((0, 3),)), (7,), (None,))


def hard_programme(n: int = 50, rows: int = 6) -> Programme:
    """A market split: six equalities over random weights, which branch and bound does not finish in minutes."""
    rng = random.Random(1)
    weights = [[rng.randrange(100) for _ in range(n)] for _ in range(rows)]
    halves = tuple(sum(row) // 2 for row in weights)
    columns = tuple((*((j, row[i]) for j, row in enumerate(weights)), (rows + i, 1)) for i in range(n))
    return Programme((1,) * n, columns, (*halves, *(0,) * n), (*halves, *(1,) * n))


def ask(helper: Helper, programme: Programme = SMALL, seconds: float = 20.0) -> Answer | None:
    return helper.ask(programme, 1, 0, Effort(10**9, 10**6), seconds=seconds)


def process(helper: Helper) -> int:
    assert helper._process is not None
    return helper._process.pid


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"


def gone(pid: int, seconds: float = 5.0) -> bool:
    end = time.monotonic() + seconds
    while alive(pid) and time.monotonic() < end:
        time.sleep(0.02)
    return not alive(pid)


@pytest.fixture
def helper() -> Helper:
    return HELPER


def test_a_warmed_helper_is_the_one_that_answers() -> None:
    """Started once, however often it is warmed."""
    own = Helper()
    own.warm()
    started = process(own)
    own.warm()
    answer = ask(own)
    assert answer is not None
    assert answer.counts == (2, 1)
    assert process(own) == started
    own.close()
    assert gone(started)


def test_one_process_answers_many_questions(helper: Helper) -> None:
    assert ask(helper) == Answer(Outcome.BEST, (2, 1))
    first = process(helper)
    assert ask(helper) == Answer(Outcome.BEST, (2, 1))
    assert process(helper) == first


def test_a_question_that_takes_too_long_is_given_up_and_the_process_replaced(helper: Helper) -> None:
    ask(helper)
    first, started = process(helper), time.monotonic()
    assert ask(helper, hard_programme(), seconds=0.6) is None
    assert time.monotonic() - started < 2
    assert gone(first)
    assert ask(helper) == Answer(Outcome.BEST, (2, 1))
    assert process(helper) != first


def test_threads_share_the_process_and_get_their_own_answers(helper: Helper) -> None:
    def question(cost: int) -> tuple[int, Answer | None]:
        return cost, ask(helper, Programme((cost, 4), SMALL.columns, (7,), (None,)))

    with ThreadPoolExecutor(8) as pool:
        for cost, answer in pool.map(question, [1, 9] * 8):
            assert answer is not None
            assert answer.counts == ((4, 0) if cost == 1 else (0, 3))


def test_a_killed_process_is_replaced(helper: Helper) -> None:
    ask(helper)
    os.kill(process(helper), signal.SIGKILL)
    assert ask(helper) == Answer(Outcome.BEST, (2, 1))


CHILD = """
import os, sys, threading
from sawbill.cutting.solver.answers import Effort, Programme
from sawbill.cutting.solver.helper import HELPER
small = Programme((3, 4), (((0, 2),), ((0, 3),)), (7,), (None,))
ask = lambda: HELPER.ask(small, 1, 0, Effort(1000, 10), seconds=20)
assert ask().counts == (2, 1)
parent = HELPER._process.pid
child = os.fork()
if child == 0:
    good = ask().counts == (2, 1) and HELPER._process.pid != parent
    HELPER.close()
    os._exit(0 if good else 1)
assert os.waitpid(child, 0)[1] == 0
assert ask().counts == (2, 1) and HELPER._process.pid == parent
print(parent, flush=True)
"""


def test_a_forked_worker_gets_a_process_of_its_own() -> None:
    run = subprocess.run([sys.executable, "-W", "error", "-c", CHILD], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    assert gone(int(run.stdout))


def test_nothing_is_left_when_the_owner_is_killed_in_the_middle_of_a_question() -> None:
    code = CHILD.split("child = os.fork()")[0] + (
        "print(parent, flush=True)\n"
        "from importlib.util import spec_from_file_location, module_from_spec\n"
        f"spec = spec_from_file_location('test_helper', {__file__!r})\n"
        "module = module_from_spec(spec); spec.loader.exec_module(module)\n"
        "HELPER.ask(module.hard_programme(), 1, 0, Effort(10**9, 10**6), seconds=60)\n"
    )
    owner = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    with owner:
        assert owner.stdout is not None
        pid = int(owner.stdout.readline())
        time.sleep(0.5)
        assert alive(pid)
        owner.kill()
    assert gone(pid)


def test_planning_prints_nothing_and_leaves_no_files(tmp_path_factory: pytest.TempPathFactory) -> None:
    room = tmp_path_factory.mktemp("room")
    code = (
        "import random\n"
        "from sawbill.cutting import *\n"
        "r = random.Random(4)\n"
        "m = frozenset({'w'})\n"
        "p = tuple(Piece(f'p{n}', r.randint(20, 100), 1, m) for n in range(90))\n"
        "plan(Order((Stock('s', 'w', 150, 1),), p))\n"
        "from sawbill.cutting.solver.helper import HELPER\n"
        "from sawbill.cutting.solver.answers import Effort, Programme\n"
        "HELPER.ask(Programme((1,), (((0, 1),),), (1,), (None,)), 1, 0, Effort(9, 9), seconds=20)\n"
    )
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        capture_output=True,
        text=True,
        check=False,
        cwd=room,
        env={**os.environ, "TMPDIR": str(room)},
    )
    assert (run.returncode, run.stdout, run.stderr) == (0, "", "")
    assert list(room.iterdir()) == []


@pytest.mark.parametrize(("most", "outcome"), [(9, Outcome.IMPOSSIBLE), (10, Outcome.BEST), (11, Outcome.BEST)])
def test_what_a_solution_may_cost_keeps_the_one_that_costs_just_that(most: int, outcome: Outcome) -> None:
    assert ask(HELPER, SMALL.up_to(most)).outcome is outcome  # type: ignore[union-attr]
