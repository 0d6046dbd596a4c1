"""What the README and the page for developers show must work as it stands there."""

import json
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from sawbill.cli import main
from sawbill.registry import designs
from sawbill.testing import check_design
from sawbill.web.app import create_app

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()


@pytest.fixture(scope="module")
def client() -> Any:
    return create_app().test_client()


def test_the_readme_opens_with_the_job_and_then_the_two_commands() -> None:
    title, job, *_ = README.split("\n\n")
    assert title == "# Sawbill"
    assert "what to buy" in job and "how to cut" in job
    assert README.index("    sh .ci/start\n") < README.index("    sh .ci/test\n")
    for script in ("start", "test"):
        assert (ROOT / ".ci" / script).is_file()


def test_every_address_in_the_readme_answers(client: Any) -> None:
    addresses = re.findall(r"http://127\.0\.0\.1:8000(/v1/designs[^\s']*)", README)
    assert len(addresses) >= 2
    for address in addresses:
        assert client.get(address).status_code == 200, address


def test_the_posted_request_of_the_readme_is_quoted(client: Any) -> None:
    body = json.loads(README.split("-d '")[1].split("'\n")[0])
    answer = client.post("/v1/quotes", json=body)
    assert answer.status_code == 200
    names = {row["name"] for row in answer.json["cut_list"]}
    assert {"side rail", "shelf"} <= names


def test_the_quote_command_of_the_readme_works() -> None:
    (line,) = re.findall(r"\.venv/bin/sawbill (quote .*)", README)
    assert CliRunner().invoke(main, shlex.split(line)).exit_code == 0


def test_the_design_shown_to_developers_is_a_good_design() -> None:
    (code,) = re.findall(r"```python\n(.*?)```", DEVELOPERS, re.DOTALL)
    names: dict[str, Any] = {}
    exec(compile(code, "DEVELOPERS.md", "exec"), names)
    check_design(names["DESIGN"], examples=10)


def test_the_map_names_only_what_there_is() -> None:
    for path in re.findall(r"`((?:service|designs|tests|pricebooks)/[\w/.-]*)`", DEVELOPERS):
        assert (ROOT / path).exists(), path


def test_our_own_designs_are_all_offered() -> None:
    modules = {file.stem for file in (ROOT / "designs" / "sawbill_designs").glob("*.py")}
    modules -= {"__init__", "parts_in_common"}
    assert {design.replace("-", "_") for design in designs()} >= modules
