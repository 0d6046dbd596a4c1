"""What is compiled at a first start: told once, in parts, of which another process takes half."""

from __future__ import annotations

from pathlib import Path

import pytest

from sawbill import first_start
from sawbill.checks import statics
from sawbill.first_start import Part, make_ready


def test_each_part_is_told_at_the_first_start_and_runs_at_every_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(first_start, "FOLDER", tmp_path)
    ran: list[str] = []

    def own() -> None:
        ran.append("own")

    parts = [Part("what another process takes", statics.make_ready), Part("what is left", own)]
    make_ready(parts)
    assert capsys.readouterr().err.splitlines() == [
        "Compiling, once for this installation: what another process takes (1 of 2)",
        "Compiling, once for this installation: what is left (2 of 2)",
    ]
    assert ran
    ran.clear()
    make_ready(parts)
    assert (capsys.readouterr().err, ran) == ("", ["own"])


def test_a_part_that_another_process_did_not_make_is_made_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(first_start, "FOLDER", tmp_path)
    ran: list[str] = []

    def nowhere() -> None:  # no process can import this
        ran.append("here")

    make_ready([Part("what is lost", nowhere), Part("what is left", nowhere)])
    assert ran
