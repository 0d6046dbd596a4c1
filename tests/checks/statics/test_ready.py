"""Once the loops are ready, no frame has anything compiled while somebody waits."""

from __future__ import annotations

import subprocess
import sys

FRAMES = """
from numba.core import event
from sawbill.checks import statics
statics.make_ready()
from sawbill.checks.site import Site
from sawbill.checks.strength import check_strength
from sawbill.asked.request import read_request
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.registry import designs

book = Shelf(sample_folder()).get("sample-metric")
with event.install_recorder("numba:compile") as told:
    for design in designs():
        [line] = read_request({"lines": [{"design": design}]}, book, designs()).lines
        carries = line.frame.sleeping_places or line.frame.surfaces
        print((len(check_strength(line.frame, Site(), {})) > 0) == bool(carries))
print(len(told.buffer))
"""


def test_once_ready_no_frame_has_anything_compiled() -> None:
    run = subprocess.run([sys.executable, "-c", FRAMES], capture_output=True, text=True, check=False)
    assert run.stderr == ""
    *each, compiled = run.stdout.split()
    assert set(each) == {"True"} and compiled == "0"
