"""What the README and the page for developers show must work as it stands there."""

import json
import re
import shlex
from pathlib import Path
from textwrap import dedent
from typing import Any

import pytest
from click.testing import CliRunner

from sawbill.cli.main import main
from sawbill.drawings.catalogue import STAGES, VIEWS
from sawbill.registry import designs
from sawbill.store import Store
from sawbill.testing import check_design
from sawbill.web.app import create_app
from sawbill.web.http.queries import FORM
from sawbill.web.running.settings import Settings

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


@pytest.mark.parametrize(
    ("path", "names"), [("/v1/quotes", {"side rail", "shelf"}), ("/v1/cutting-plans", {"leg", "shelf"})]
)
def test_a_posted_request_of_the_readme_is_answered(client: Any, path: str, names: set[str]) -> None:
    bodies = re.findall(rf"curl http://127\.0\.0\.1:8000{path} [^\n]*-d '(.*?)'\n", README, re.DOTALL)
    answers = [client.post(path, json=json.loads(body)) for body in bodies]
    assert [answer.status_code for answer in answers] == [200] * len(answers)
    assert names <= {row["name"] for answer in answers for row in answer.json["cut_list"]}


@pytest.mark.parametrize("line", re.findall(r"\.venv/bin/sawbill (quote .*)", README))
def test_each_quote_command_of_the_readme_works(line: str) -> None:
    assert CliRunner().invoke(main, shlex.split(line)).exit_code == 0


@pytest.mark.parametrize("line", re.findall(r"\.venv/bin/sawbill (draw .*)", README))
def test_each_drawing_command_of_the_readme_works(line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert CliRunner().invoke(main, shlex.split(line)).exit_code == 0
    (written,) = tmp_path.iterdir()
    assert written.stat().st_size > 1_000


def test_the_python_of_the_readme_works_line_by_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    section = README.split("## In Python\n")[1].split("\n## ")[0]
    lines = [line.removeprefix("    ") for line in section.splitlines() if line.startswith("    ")]
    names: dict[str, Any] = {}
    for line in lines:
        exec(line, names)
    assert len(lines) > 15
    assert (tmp_path / "bed.xlsx").stat().st_size > 1_000
    assert not (names["bed"].checks["status"] == "fail").any()


def test_the_readme_names_every_view_that_can_be_drawn() -> None:
    told = README.split("is one view:")[1].split("The second is")[0]
    assert re.findall(r"`([a-z]+)`", told) == [*VIEWS, "cutting"]
    assert re.findall(r"`([a-z]+)-1`", told) == list(STAGES)


def test_the_plan_command_of_the_readme_reads_the_table_of_the_readme(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (line,) = re.findall(r"\.venv/bin/sawbill (plan .*)", README)
    words = shlex.split(line)
    table = README.split(f"such as `{words[1]}`:\n\n")[1].split("\n\n")[0]
    (tmp_path / words[1]).write_text(dedent(table))
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 0
    assert "leg" in result.output and "shelf" in result.output


def test_the_curl_commands_for_price_books_of_the_readme_work_in_their_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with Store.open(tmp_path / "data") as store:
        store.prepare()
        _, secret = store.tokens.make("anna", "laptop", ["price-book"])
    client = create_app(Settings(data=str(tmp_path / "data"))).test_client()
    lines = re.findall(r"    curl (.*/v1/price-books/.*)", README)
    assert len(lines) == 9
    revision = ""
    for line in lines:
        words = curl(line.replace("REVISION", revision))
        words["headers"]["Authorization"] = f"Bearer {secret}"
        file = words.pop("file", None)
        answer = client.open(**words)
        assert answer.status_code in (200, 201), line
        revision = answer.headers.get("ETag", revision).strip('"')
        if file is not None:
            Path(file).write_bytes(answer.data)
    (check,) = re.findall(r"\.venv/bin/sawbill (check-prices our-shop.*)", README)
    assert CliRunner().invoke(main, shlex.split(check)).exit_code == 0


def curl(line: str) -> dict[str, Any]:
    """Read a command of curl as what to ask of the test client; file: where the answer goes."""
    words = shlex.split(line)
    asked: dict[str, Any] = {"method": "GET", "headers": {}}
    while words:
        word = words.pop(0)
        if word == "-X":
            asked["method"] = words.pop(0)
        elif word == "-H":
            name, _, value = words.pop(0).partition(": ")
            asked["headers"][name] = value
        elif word == "-d":
            asked["data"] = words.pop(0)
        elif word == "--data-binary":
            asked["data"] = Path(words.pop(0).removeprefix("@")).read_bytes()
        elif word == "-o":
            asked["file"] = words.pop(0)
        else:
            asked["path"] = word.removeprefix("http://127.0.0.1:8000")
    return asked


def test_the_readme_lists_every_table_that_a_quote_has_and_how_answers_are_written(client: Any) -> None:
    for table in client.get("/v1/tables").json["tables"]:
        meaning = table["meaning"].rstrip(".")
        assert f"| `{table['name']}` | {meaning[0].lower()}{meaning[1:]} |" in README
    values = {value["name"] for value in client.get("/v1/values").json["values"]}
    told = re.findall(
        r"`(\w+)`", README[README.index("the values that have names (") : README.index("more) at `/v1/values`")]
    )
    assert told and set(told) <= values
    for name in FORM:
        assert re.search(rf"^\| `{name}(=\w+)?` \|", README, re.MULTILINE), name


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
    modules -= {"__init__", "options_in_common", "parts_in_common", "bolt_places", "places", "slats"}
    assert {design.replace("-", "_") for design in designs()} >= modules


def test_no_example_of_the_readme_fails_a_check_or_is_of_unknown_strength(client: Any) -> None:
    """Neither by address, nor in a body; a comparison's rows neither."""
    addresses = re.findall(r"http://127\.0\.0\.1:8000(/v1/(?:designs/[^\s'?]*quote|comparisons)\S*?)(?:'|\s)", README)
    answers = [client.get(re.sub(r"\.(html|xlsx|csv)", ".json", address)) for address in addresses]
    bodies = re.findall(r"curl http://127\.0\.0\.1:8000/v1/quotes [^\n]*-d '(.*?)'\n", README, re.DOTALL)
    answers += [client.post("/v1/quotes?keep=no", json=json.loads(body)) for body in bodies]
    assert len(answers) >= 8
    for answer in answers:
        told, rows = answer.json, answer.json.get("rows", [answer.json])
        assert not [row["failed_checks"] for row in rows if row.get("failed_checks")], answer.request.url
        assert not [row["unreckoned"] for row in rows if row.get("unreckoned")], answer.request.url
        assert not [each["message"] for each in told.get("checks", ()) if each["status"] in ("fail", "unreckoned")], (
            answer.request.url
        )
