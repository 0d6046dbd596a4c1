"""The worked example of the guide, as it stands there: what it comes to, and that its figures are told truly."""

from __future__ import annotations

import re
import shlex
from decimal import Decimal

from click.testing import CliRunner

from sawbill.cli.main import main
from sawbill.web.written import guide

PAGE = guide.pages()["proposals"].source
TOLD = PAGE.replace("\n", " ")
(LINE,) = re.findall(r"\.venv/bin/sawbill (propose .*)", PAGE)


def told_by(line: str) -> str:
    return CliRunner().invoke(main, shlex.split(line)).stdout


def test_the_queen_bed_of_the_guide_comes_to_what_is_said_there() -> None:
    (total,) = re.findall(r"bolts of 5/16 in, (\d+\.\d\d)\.", TOLD)
    (costs,) = re.findall(r"wish costs (\d+\.\d\d),", TOLD)
    (otherwise,) = re.findall(r"would be (\d+\.\d\d)\.", TOLD)
    assert Decimal(otherwise) + Decimal(costs) == Decimal(total)
    text = told_by(LINE)
    assert text.startswith(f"1. slatted-bed: {total} USD")
    assert f"heaviest piece, most 10.5 kg: costs {costs} USD." in text
    assert "ledger: 2x3" in text and "bolt_size: 5/16 in" in text and "36 combinations:" in text


def test_what_is_nearest_to_ten_kilograms_is_what_is_said_there() -> None:
    ((mass, total),) = re.findall(r"the nearest is (\d+\.\d) kg, at (\d+\.\d\d)\.", TOLD)
    text = told_by(LINE.replace("10.5 kg", "10 kg"))
    assert text.startswith("Nothing keeps to all that is wished.")
    assert re.search(rf"the nearest with .* is {mass}\d* kg, at {total} USD", text)
