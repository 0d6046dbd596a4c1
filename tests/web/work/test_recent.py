"""What was made last is held, by all processes of a service together: so much of it, and nothing that a clock cut."""

import multiprocessing
import subprocess
import sys
import threading
from dataclasses import replace
from fractions import Fraction

import pytest

from sawbill import cutting
from sawbill.checks.finding import Status
from sawbill.making.rates import Minutes
from sawbill.quoting.comparing.comparison import Figures
from sawbill.web.work.recent import FILE, MOST_BYTES, MOST_FIGURES, MOST_QUOTES, Made, Recent

FIGURES = Figures(
    total=12_345, each=6_172, lumber=9_000, hardware=2_000, supplies=345, trips=500, tax=500, boards=17,
    waste=Fraction(7, 81), mass_g=45_678, longest_piece=2_032_000_000, failed_checks=1, worst_check=Status.FAIL,
    worst_utilisation=Fraction(10, 9), hands_on=Minutes(Fraction(95, 2), Fraction(120)), proof=cutting.Status.PROVEN,
)  # fmt: skip


def made(text, *, lasting=True):
    return Made(text.encode(), "Sample", lasting)


@pytest.fixture(params=["one process", "several"])
def recent(request, tmp_path):
    return Recent(tmp_path if request.param == "several" else None)


def test_what_was_put_first_goes_first(recent):
    for number in range(MOST_QUOTES):
        recent.hold_quote(str(number), made(f"quote {number}"))
    assert recent.quote("0") == made("quote 0")
    recent.hold_quote("one more", made("another"))
    assert recent.quote("0") is None
    assert recent.quote("1") == made("quote 1") and recent.quote("one more") == made("another")


def test_neither_a_quote_cut_by_a_clock_nor_a_very_large_one_is_held(recent):
    recent.hold_quote("late", made("quote", lasting=False))
    recent.hold_quote("large", made("x" * (MOST_BYTES + 1)))
    recent.hold_quote("largest", made("x" * MOST_BYTES))
    assert recent.quote("late") is None and recent.quote("large") is None
    assert recent.quote("largest") is not None


@pytest.mark.parametrize(
    "figures",
    [FIGURES, replace(FIGURES, worst_check=None, worst_utilisation=None, proof=cutting.Status.WITHIN_TOLERANCE)],
)
def test_figures_are_given_as_they_were(recent, figures):
    recent.hold_figures("one", figures)
    recent.hold_figures("other", replace(figures, total=1))
    assert recent.figures(["other", "none", "one"]) == {"one": figures, "other": replace(figures, total=1)}
    assert recent.figures([]) == {}


def test_figures_cut_by_a_clock_are_not_held(recent):
    recent.hold_figures("late", replace(FIGURES, proof=cutting.Status.TIME_LIMIT))
    assert recent.figures(["late"]) == {}


def test_a_bounded_number_of_figures_is_held(recent):
    for number in range(MOST_FIGURES + 5):
        recent.hold_figures(str(number), FIGURES)
    assert set(recent.figures([str(number) for number in range(10)])) == {"5", "6", "7", "8", "9"}


def test_a_process_finds_what_another_has_made(tmp_path):
    recent = Recent(tmp_path)
    recent.hold_quote("ours", made("our own"))
    context = multiprocessing.get_context("fork")
    answers = context.SimpleQueue()

    def other():
        answers.put(recent.quote("ours"))
        recent.hold_quote("theirs", made("their own"))
        recent.hold_figures("theirs", FIGURES)

    process = context.Process(target=other)
    process.start()
    process.join()
    assert answers.get() == made("our own")
    assert recent.quote("theirs") == made("their own")
    assert recent.figures(["theirs"]) == {"theirs": FIGURES}


def test_where_it_fails_all_is_as_if_nothing_were_held(tmp_path, caplog):
    (tmp_path / FILE).write_bytes(b"this is no database, and never was one" * 100)
    recent = Recent(tmp_path)
    recent.hold_quote("one", made("quote"))
    recent.hold_figures("one", FIGURES)
    assert recent.quote("one") is None and recent.figures(["one"]) == {}
    assert [each.getMessage() for each in caplog.records] == ["what was made last is not held: file is not a database"]


def test_many_threads_find_only_what_was_put_under_their_key(recent):
    wrong = []

    def use(name):
        for number in range(200):
            key = f"{name} {number % 40}"
            recent.hold_quote(key, made(key))
            found = recent.quote(key)
            if found is not None and found.data != key.encode():
                wrong.append(key)

    threads = [threading.Thread(target=use, args=(name,)) for name in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong


LAST = """
import atexit
held = []
def taken_apart():  # as the interpreter does with a module at its end, after all that is to be done at exit
    recent.os = None
    held.clear()
atexit.register(taken_apart)
from sawbill.web.work import recent
held.append(recent.Recent())
assert held[0].hold_book("one", b"a book")
"""


def test_it_ends_with_its_process_without_a_word():
    ended = subprocess.run([sys.executable, "-c", LAST], capture_output=True, text=True, check=True)
    assert ended.stderr == ""
