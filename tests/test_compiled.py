"""Compiled loops: where they are kept, and that none is compiled while somebody waits."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from numba.extending import is_jitted
from numpy.typing import NDArray

from sawbill import compiled as module
from sawbill.buying.suppliers import figures
from sawbill.compiled import compiled, compiled_part, inlined

FORMS = """
import sys
from fractions import Fraction
from numba.core import event
from sawbill import cutting
from sawbill.cutting import Order, Piece, SmallPart, Stock

class Told(event.Listener):
    def on_start(self, found):
        if self.after:
            print("compiled:", found.data["dispatcher"])
    def on_end(self, found):
        pass

told = Told()
told.after = False
event.register("numba:compile", told)
cutting.make_ready()
told.after = True

M = frozenset({"w"})
P = tuple(Piece(f"p{n}", 130 + 61 * n, 3 + n, M) for n in range(6))
S = tuple(Stock(f"s{n}", "w", 900 + 230 * n, 410 + 97 * n, n or None) for n in range(3))
OTHERS = (Stock("own", "w", 800, 0, 2, on_hand=True), Stock("yard", "w", 2400, 1100, carry=1300), *S)
PART = (SmallPart("b", 40, 9, {"w": 2}, 100),)
print(cutting.plan(Order(S, P, kerf=3)).cost > 0)
print(cutting.plan(Order(OTHERS, P, PART, kerf=3)).cost > 0)
print(cutting.plan(Order(OTHERS, P, kerf=3, no_slivers=True)).cost > 0)
print(cutting.plan(Order(OTHERS, P, kerf=3, keep=200, credit=Fraction(1, 9))).cost > 0)
print(cutting.plan(Order(S, P, kerf=3, extra_cost=Fraction(1, 50))).cost > 0)
M = tuple(Piece(f"p{n}", 1_370_011 * n + 20_000_003, 1, M) for n in range(1, 50))
print(cutting.plan(Order((Stock("s", "w", 150_000_000, 7), Stock("t", "w", 190_000_000, 9)), M, kerf=1)).cost > 0)
"""


def test_once_ready_no_order_has_anything_compiled() -> None:
    """Every loop has one form only: the types it is given are the same whatever is ordered."""
    run = subprocess.run([sys.executable, "-c", FORMS], capture_output=True, text=True, check=False)
    assert (run.stderr, run.stdout.splitlines()) == ("", ["True"] * 6)


PLAIN = """
import random
from sawbill.cutting import Order, Piece, SmallPart, Stock, plan
for seed in range(6):
    r = random.Random(seed)
    stocks = tuple(Stock(f"s{n}", "w", n, round(0.7 * n) + r.randint(0, 9)) for n in r.sample(range(90, 200), 3))
    pieces = tuple(Piece(f"p{n}", n, r.randint(1, 9), frozenset({"w"})) for n in r.sample(range(18, 80), 5))
    parts = (SmallPart("b", 9, 8, {"w": 2}, 25),) if seed % 2 else ()
    found = plan(Order(stocks, pieces, parts, kerf=1), 60)
    print(found.cost, found.bound)
"""


def test_without_compiling_the_same_plans_are_found() -> None:
    """Plain Python counts without end where machine code wraps around, so that neither may happen."""
    told = []
    for switch in ("0", "1"):
        settings = {**os.environ, "NUMBA_DISABLE_JIT": switch}
        run = subprocess.run([sys.executable, "-c", PLAIN], capture_output=True, text=True, check=False, env=settings)
        assert run.stderr == ""
        told.append(run.stdout.splitlines())
    assert told[0] == told[1]
    assert all(cost == bound for cost, bound in map(str.split, told[0]))


def test_loops_are_kept_beside_the_modules_with_the_users_caches_or_for_as_long_as_the_process_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, caches = tmp_path / "here", tmp_path / "caches"
    here.mkdir()
    monkeypatch.setattr(module, "_HERE", here)
    monkeypatch.setenv("XDG_CACHE_HOME", str(caches))
    beside = module._folder()
    assert beside.parent == here / "__pycache__"
    (beside / "kept").write_text("a loop")
    monkeypatch.setattr(module, "_has_room", lambda folder: here not in folder.parents)
    assert module._folder() == caches / "sawbill" / beside.name
    monkeypatch.setattr(module, "_has_room", lambda folder: False)
    temporary = module._folder()
    assert tmp_path not in temporary.parents
    assert (temporary / "kept").read_text() == "a loop"
    module._remove(temporary, os.getpid() + 1)
    assert temporary.exists()
    module._remove(temporary, os.getpid())
    assert not temporary.exists()


def test_a_changed_module_has_its_loops_kept_apart_and_the_old_ones_removed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "_HERE", tmp_path)
    (tmp_path / "loops.py").write_text("@compiled\ndef loop(): ...\n")
    (tmp_path / "other.py").write_text("1\n")
    first = module._folder()
    (tmp_path / "other.py").write_text("2\n")
    assert module._folder() == first
    (tmp_path / "loops.py").write_text("@compiled\ndef loop(): return 1\n")
    second = module._folder()
    assert second != first
    assert (first.exists(), second.exists()) == (False, True)


def test_where_nothing_can_be_written_there_is_no_room(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    assert module._has_room(tmp_path / "folder" / "within")
    assert not module._has_room(tmp_path / "file" / "within")


@compiled_part
def _more_than(number: int, other: int) -> bool:
    return number > other


@inlined
def _twice(number: int) -> int:
    return 2 * number


@compiled
def _largest_twice(numbers: NDArray[np.int64]) -> int:
    largest = 0
    for number in numbers:
        largest = number if _more_than(number, largest) else largest
    return _twice(largest)


def test_parts_of_loops_do_the_same_in_a_loop_and_by_themselves() -> None:
    assert _largest_twice(np.array([3, 7, 5])) == 14
    assert _twice(7) == 14
    assert _more_than(7, 5)


def test_what_the_search_for_suppliers_calls_at_every_node_is_compiled() -> None:
    """A compiled part that Python calls runs as it is written: twenty times as long."""
    assert all(map(is_jitted, (figures.bound_of, figures.raised, figures.swept, figures.improved)))
