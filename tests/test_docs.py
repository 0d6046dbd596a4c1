"""What the README, the guide and the page for developers show must work as it stands there."""

import json
import re
import shlex
import shutil
import threading
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from markdown_it import MarkdownIt
from werkzeug.serving import make_server

from sawbill.answer.tables import TABLES
from sawbill.answer.values import VALUES
from sawbill.cli.main import main
from sawbill.drawings.catalogue import STAGES, VIEWS
from sawbill.registry import designs
from sawbill.store import Store
from sawbill.testing import check_design
from sawbill.web.app import create_app
from sawbill.web.http.queries import FORM
from sawbill.web.running.settings import Settings
from sawbill.web.written import guide

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()
GUIDE = {name: page.source for name, page in guide.pages().items()}
PAGES = {"README": README, **GUIDE}
"""Whatever shows commands and addresses to those who use Sawbill."""
SERVICE = "http://127.0.0.1:8000"


DATA = ("{", "=", "name,section")
"""How blocks begin that hold data, each of which has a test of its own."""
ELSEWHERE = ("pip", "npm", "npx", "openapi-python-client")
"""What makes typed clients, which `tests/clients` types and tries."""


def blocks(source: str, kind: str = "code_block") -> list[str]:
    """Give what stands in a page's blocks of code."""
    return [block.content for block in MarkdownIt().parse(source) if block.type == kind]


def commands(source: str) -> list[str]:
    """Give the commands and addresses of a page's blocks of code, each as one text, in their order."""
    found: list[str] = []
    for block in blocks(source):
        lines = [] if block.startswith(DATA) else block.splitlines()
        while lines:
            command = lines.pop(0)
            while command.count("'") % 2:
                command += "\n" + lines.pop(0)
            found += [command] if command.strip() else []
    return found


class Workshop:
    """A machine with a service that keeps things, on which a reader types what the pages show."""

    def __init__(self, folder: Path) -> None:
        for data in ("kept", "data"):  # as a service does that is started with it
            with Store.open(folder / data) as store:
                store.prepare()
        self.app = create_app(Settings(data=str(folder / "kept"), local=True))
        self.client, self.folder, self.done = self.app.test_client(), folder, set[str]()
        self.named = {"ID": "", "REVISION": ""}

    def do(self, command: str) -> None:
        """Do as a reader does; what was done before and leaves nothing behind is not done again."""
        for name, value in self.named.items():
            command = command.replace(name, value)
        if command in self.done:
            return
        self.done.add(command)
        word = command.split()[0]
        if word == "curl":
            self.ask(**curl(command.removeprefix("curl ")))
        elif word.startswith(SERVICE):
            self.ask("GET", word.removeprefix(SERVICE))
        elif word == ".venv/bin/sawbill":
            words = shlex.split(command)[1:]
            told = CliRunner().invoke(main, [*words, "--help"] if words[0] == "serve" else words)
            assert told.exit_code == 0, f"{command}: {told.output}"
        elif word == "cp":
            _, _, before, after = shlex.split(command)
            shutil.copytree(before, after)
        elif word not in ELSEWHERE:
            assert word == "sh" and (ROOT / command.split()[1]).is_file(), f"nobody knows how to try {command}"

    def ask(self, method: str, path: str, file: str = "", **more: Any) -> None:
        """Ask the service; what it quotes fails no check, and is of wood whose strength is known."""
        answer = self.client.open(path, method=method, **more)
        assert answer.status_code in (200, 201, 204), f"{method} {path}: {answer.text}"
        if answer.status_code == 201 and "/v1/quotes/" in answer.headers.get("Location", ""):
            self.named["ID"] = answer.headers["Location"].rpartition("/")[2]
        if re.fullmatch(r"/v1/price-books/[a-z-]+(\.\w+|\?.*)?", path) and "ETag" in answer.headers:
            self.named["REVISION"] = answer.headers["ETag"].strip('"')
        if file:
            Path(file).write_bytes(answer.data)
        if method == "GET" and re.match(r"/v1/(designs/[\w-]+/quote|comparisons)\b", path):
            answer = self.client.get(re.sub(r"\.(html|xlsx|csv|txt)\b", ".json", path))
        if answer.is_json:
            sound(answer.json, path)


def sound(told: Any, path: str) -> None:
    """See that no check of a quote fails or was not reckoned, nor one of a comparison's rows."""
    told = told if isinstance(told, dict) else {}
    rows = [row for row in told.get("rows", ()) if isinstance(row, dict)]
    assert not [row for row in rows if row.get("failed_checks") or row.get("unreckoned")], path
    checks = [each for each in told.get("checks", ()) if isinstance(each, dict)]
    assert not [each["message"] for each in checks if each["status"] in ("fail", "unreckoned")], path


def curl(line: str) -> dict[str, Any]:
    """Read a command of curl as what to ask; file: where the answer goes."""
    words = shlex.split(line)
    asked: dict[str, Any] = {"headers": {}}
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
        elif word != "-i":
            asked["path"] = word.removeprefix(SERVICE)
    return {"method": "POST" if "data" in asked else "GET", **asked}


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    folder = tmp_path_factory.mktemp("workshop")
    shutil.copytree(ROOT / "pricebooks", folder / "pricebooks")
    return Workshop(folder)


@pytest.fixture
def client(workshop: Workshop) -> Any:
    return workshop.client


@pytest.mark.parametrize("name", PAGES)
def test_every_command_and_address_of_a_page_works(
    name: str, workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(workshop.folder)
    for table in (block for block in blocks(PAGES[name]) if block.startswith("name,section")):
        Path("pieces.csv").write_text(table)
    for command in commands(PAGES[name]):
        workshop.do(command)
    for address in re.findall(rf"[<`]{SERVICE}(/[^>`]*)[>`]", PAGES[name]):
        workshop.do(f"{SERVICE}{address}")


def test_the_readme_opens_with_the_job_and_then_the_two_commands() -> None:
    title, job, *_ = README.split("\n\n")
    assert title == "# Sawbill"
    assert "what to buy" in job and "how to cut" in job
    assert README.index("    sh .ci/start\n") < README.index("    sh .ci/test\n")
    assert len(README.splitlines()) <= 130, "the rest belongs into the guide"


def test_every_link_of_the_readme_leads_to_a_file() -> None:
    links = re.findall(r"\]\(([^)#]+)", README)
    assert {f"service/sawbill/web/guide/{name}.md" for name in GUIDE} - {*links} == {
        "service/sawbill/web/guide/index.md"
    }
    assert not [link for link in links if not (ROOT / link).exists()]


def test_the_python_of_the_pages_runs_as_it_stands(
    workshop: Workshop, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(workshop.folder)
    server = make_server("127.0.0.1", 0, workshop.app, threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        for source in (README, GUIDE["python"]):
            code = "".join(blocks(source, "fence")).replace(SERVICE, f"http://127.0.0.1:{server.server_port}")
            names: dict[str, Any] = {}
            exec(compile(code + "\nquoted = bed.checks['status']", "page", "exec"), names)
            assert re.search(r"^\d+\.\d\d USD$", capsys.readouterr().out, re.MULTILINE)
            assert not re.search("fail|unreckoned", " ".join(names["quoted"]))
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def test_the_problem_that_the_guide_shows_is_what_is_sent(client: Any) -> None:
    (shown,) = [block for block in blocks(GUIDE["errors"]) if block.startswith("{")]
    answer = client.get("/v1/designs/slatted-bed/quote?price_book=sample-inch&slat_gap=1km")
    assert answer.json == json.loads(shown)


def test_the_plan_command_reads_the_table_of_the_guide(workshop: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(workshop.folder)
    (table,) = [block for block in blocks(GUIDE["cutting"]) if block.startswith("name,section")]
    Path("pieces.csv").write_text(table)
    result = CliRunner().invoke(main, ["plan", "pieces.csv", "--prices", "sample-inch"])
    assert result.exit_code == 0
    assert "leg" in result.output and "shelf" in result.output


def test_the_guide_names_every_view_that_can_be_drawn() -> None:
    told = GUIDE["drawings"].split("The views of the whole piece are")[1].split("A name that ends")[0]
    assert re.findall(r"`([a-z]+)`", told) == [*VIEWS, "cutting"]
    assert re.findall(r"`([a-z]+)-1`", told) == list(STAGES)


def test_the_guide_lists_every_table_every_way_to_write_an_answer_and_names_values_there_are() -> None:
    for table in TABLES.values():
        meaning = table.meaning.rstrip(".")
        assert f"| `{table.name}` | {meaning[0].lower()}{meaning[1:]} |" in GUIDE["tables"]
    told = re.findall(r"`(\w+)`", GUIDE["tables"].split("Single values have names:")[1].split("and more")[0])
    assert told and {*told} <= {*VALUES}
    for name in FORM:
        assert re.search(rf"^\| `{name}(=\w+)?` \|", GUIDE["spreadsheets"], re.MULTILINE), name


def test_readme_and_guide_list_every_design_of_ours() -> None:
    rooms = (ROOT / "designs" / "sawbill_designs").iterdir()
    ours = {each.stem.replace("_", "-") for each in rooms} & {*designs()}
    for page in (README, GUIDE["designs"]):
        assert {*re.findall(r"^\| `([a-z-]+)` \|", page, re.MULTILINE)} == ours


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
    modules -= {"__init__", "options_in_common", "parts_in_common", "bolt_places", "places", "slats", "splices"}
    modules -= {"leg_frames", "four_legs"}
    assert {design.replace("-", "_") for design in designs()} >= modules
