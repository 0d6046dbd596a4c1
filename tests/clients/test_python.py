"""A typed Python client, made from the description by a generator that knows nothing of this service."""

import json
import os
import shutil
import sys
from pathlib import Path

import pytest
from tests.clients.conftest import block, command, run, tool

USE = Path(__file__).with_name("use.py")
TYPED = """
[mypy]
strict = true
[mypy-sawbill_client.client]
ignore_errors = true
"""
"""The one module that is the same for every service is the generator's own to check."""


@pytest.fixture(scope="module")
def made(described, tmp_path_factory):
    """The folder in which the client's package is."""
    folder = tmp_path_factory.mktemp("python")
    (folder / "clients.yml").write_text(block("yaml"))
    shutil.copy(described, folder)
    name, *words = command("openapi-python-client generate")
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"  # it tidies up by ruff, if that is there
    run(tool(name), *words, "--fail-on-warning", folder=folder, PATH=path)
    return folder


def test_a_python_client_has_every_address_and_says_of_which_type_everything_is(made, described):
    api = json.loads(described.read_text())
    names = {op["operationId"] for path in api["paths"].values() for key, op in path.items() if key != "parameters"}
    modules = {each.stem for each in (made / "sawbill_client" / "api").glob("*/*.py")} - {"__init__"}
    assert modules == names
    (made / "mypy.ini").write_text(TYPED)
    run(tool("mypy"), "sawbill_client", str(USE), folder=made)


def test_a_python_client_is_told_what_the_service_answers(made, service, told):
    running, secret = service
    printed = run(
        sys.executable, str(USE), f"http://127.0.0.1:{running.port}", secret, folder=made, PYTHONPATH=str(made)
    )
    assert json.loads(printed) == told


def test_the_python_of_the_guide_prints_the_total(made, service, told):
    text = block("python").replace("http://127.0.0.1:8000", f"http://127.0.0.1:{service[0].port}")
    assert run(sys.executable, "-c", text, folder=made, PYTHONPATH=str(made)).strip() == told["by_address"]
