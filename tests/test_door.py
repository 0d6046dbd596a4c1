"""What `import sawbill` offers, and that it is not loaded by who does not ask for it."""

from __future__ import annotations

import subprocess
import sys

import pytest

import sawbill
from sawbill import notebook

LIGHT = """
import sys
import sawbill
heavy = {"pandas", "numpy", "numba", "flask", "marshmallow", "sawbill.notebook", "sawbill.trade"}
assert not heavy & {*sys.modules}, heavy & {*sys.modules}
sawbill.__version__, dir(sawbill)
assert not heavy & {*sys.modules}, heavy & {*sys.modules}
from sawbill.cli.main import main
try:
    main(["--help"])
except SystemExit:
    pass
from sawbill.web.app import create_app
assert create_app().test_client().get("/v1/designs").status_code == 200
assert not {"pandas", "sawbill.notebook"} & {*sys.modules}
"""


def test_neither_the_import_nor_the_command_line_nor_the_service_loads_pandas() -> None:
    told = subprocess.run([sys.executable, "-c", LIGHT], capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr


def test_what_is_offered_is_all_that_the_door_has() -> None:
    assert {*sawbill.__all__} == {*notebook.__all__, "__version__"} == {*dir(sawbill)}
    assert all(name in (sawbill.__doc__ or "") for name in ("designs", "price_book", "quote", "line", "compare", "cut"))


def test_another_name_is_no_part_of_it() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'quot'"):
        sawbill.quot  # noqa: B018
