"""What the files in docker/ say: that they agree with each other, with the service, and with what they promise."""

import ast
import json
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest
import yaml

from sawbill.backroom import Limits
from sawbill.cli.commands.serve import serve
from sawbill.cli.main import main
from sawbill.cutting import EMERGENCY
from sawbill.web.door.house import Times
from sawbill.web.door.worker import SPARE, THREADS
from sawbill.web.healthy import USUAL_PORT, fault
from sawbill.web.running.listening import ACCEPTED
from sawbill.web.running.server import GRACE, GUESTS
from sawbill.web.running.settings import NAMES, USUAL_DEADLINE, read_settings

ROOT = Path(__file__).parents[2]
DOCKER = ROOT / "docker"
README = (DOCKER / "README.md").read_text()
COMPOSE = yaml.safe_load((DOCKER / "compose.yaml").read_text())
OURS = {name: each for name, each in COMPOSE["services"].items() if each["image"] == "sawbill"}

# Instructions of the Dockerfile in order, each on one line, without comments.
INSTRUCTIONS = [
    line.split(maxsplit=1)
    for line in re.sub(r"\\\n", " ", re.sub(r"(?m)^#.*\n", "", (DOCKER / "Dockerfile").read_text())).splitlines()
    if line.strip()
]


@pytest.fixture(autouse=True)
def _data_of_the_image(monkeypatch):
    monkeypatch.setenv("SAWBILL_DATA", "/data")


def said(instruction):
    return [words for name, words in INSTRUCTIONS if name == instruction]


def check_command(words):
    """Have the command line read by the command itself, which refuses what it does not know."""
    command, context = main, click.Context(main, info_name="sawbill")
    while isinstance(command, click.Group):
        found = command.get_command(context, words[0])
        assert found is not None, words
        command, words = found, words[1:]
    command.make_context(command.name, list(words), parent=context)


def test_nothing_runs_as_root():
    user, group = said("USER")[-1].split(":")
    assert int(user) > 0 and int(group) > 0
    assert INSTRUCTIONS.index(["USER", f"{user}:{group}"]) < [name for name, _ in INSTRUCTIONS].index("ENTRYPOINT")
    assert all("user" not in service for service in OURS.values())


def test_nothing_is_fetched_but_packages_and_those_only_by_their_hashes():
    assert not said("ADD")
    fetching = [words for words in said("RUN") if "pip" in words and "--no-index" not in words]
    assert len(fetching) == 1
    assert "pip download --require-hashes --only-binary :all:" in fetching[0]
    others = [words for words in said("RUN") if "pip" in words and "--no-index" in words]
    assert [words.count("bin/pip ") for words in others] == [words.count("--no-index") for words in others] == [2]


def test_the_base_is_a_named_release_of_slim_debian():
    assert said("ARG") == ["BASE=debian:bookworm-slim"]
    assert {words.split()[0] for words in said("FROM")} == {"${BASE}"}
    assert INSTRUCTIONS[0][0] == "ARG", "what stands before the first FROM holds for all"


@pytest.mark.parametrize("path", sorted(DOCKER.iterdir()), ids=lambda path: path.name)
def test_no_file_names_a_host_of_others(path):
    hosts = re.findall(r"\b(?:[\w-]+\.)+(?:com|dev|io|net|org)\b|\b[\w+]+://[\w.:@-]+", path.read_text())
    assert {*hosts} <= {"http://127.0.0.1:8000", "postgresql+psycopg://sawbill@database", "tls://scheduler:8786"}


def test_what_is_copied_into_the_build_is_there_and_is_what_the_wheel_needs():
    first, *lines = [line for line in (ROOT / ".dockerignore").read_text().splitlines() if not line.startswith("#")]
    assert first == "*"
    let_in = {line[1:] for line in lines if line.startswith("!")}
    assert all((ROOT / name).exists() for name in let_in)
    assert {words.split()[0] for words in said("COPY") if "--from" not in words} <= let_in | {"."}
    assert {"LICENSE", "README.md", "designs", "pricebooks", "pyproject.toml", "service"} <= let_in


def test_the_container_starts_a_command_that_there_is():
    (entry,), (command,) = said("ENTRYPOINT"), said("CMD")
    assert ast.literal_eval(entry) == ["sawbill"]
    check_command(ast.literal_eval(command))
    for service in OURS.values():
        check_command(service.get("command", ["serve"]))


def test_the_health_check_needs_no_shell_and_asks_where_the_service_listens():
    (check,) = said("HEALTHCHECK")
    program, option, module = ast.literal_eval(check[check.index("[") :])
    assert (program, option, module) == ("python", "-m", fault.__module__)
    assert said("EXPOSE") == [str(USUAL_PORT)]
    (port,) = (option.default for option in serve.params if option.name == "port")
    assert port == USUAL_PORT
    assert {port.rsplit(":", 1)[1] for service in OURS.values() for port in service.get("ports", ())} == {
        str(USUAL_PORT)
    }


@pytest.mark.parametrize("name", OURS)
def test_a_service_of_ours_can_write_nowhere_but_in_its_volumes(name):
    service = OURS[name]
    assert service["read_only"] is True
    assert service["tmpfs"] == ["/tmp:size=64m"]
    assert service["cap_drop"] == ["ALL"]
    assert service["security_opt"] == ["no-new-privileges:true"]
    assert not service.get("privileged") and "cap_add" not in service


@pytest.mark.parametrize("name", COMPOSE["services"])
def test_every_service_is_bounded_and_none_is_told_a_password_in_its_environment(name):
    service = COMPOSE["services"][name]
    assert {"mem_limit", "cpus", "pids_limit", "shm_size"} <= set(service)
    secret = {variable: text for variable, text in service.get("environment", {}).items() if "PASSWORD" in variable}
    assert all(variable.endswith("_FILE") for variable in secret)
    assert all(
        Path(path).name in COMPOSE["secrets"] and Path(path).name in service["secrets"] for path in secret.values()
    )


def test_the_bill_of_materials_names_every_package_that_is_installed_by_its_version():
    """What pip's own list says, and what Debian's does where this is a Debian."""
    told = json.loads(
        subprocess.run([sys.executable, DOCKER / "bill_of_materials.py"], capture_output=True, check=True).stdout
    )
    assert (told["bomFormat"], told["specVersion"]) == ("CycloneDX", "1.5")
    listed = {each["purl"] for each in told["components"]}
    pip = subprocess.run([sys.executable, "-m", "pip", "list", "--format", "json"], capture_output=True, check=True)
    for each in json.loads(pip.stdout):
        name = each["name"].lower().replace("_", "-").replace(".", "-")
        assert f"pkg:pypi/{name}@{each['version']}" in listed
    if shutil.which("dpkg-query"):
        words = ["dpkg-query", "--show", "--showformat", "${Package}@${Version}?arch=${Architecture}\\n"]
        packages = subprocess.run(words, capture_output=True, text=True, check=True).stdout.split()
        assert {f"pkg:deb/debian/{each}" for each in packages} >= {each for each in listed if "deb/" in each} != set()


def test_ports_are_published_on_the_loopback_address_and_none_twice():
    published = [port for service in COMPOSE["services"].values() for port in service.get("ports", ())]
    assert all(port.startswith("127.0.0.1:") for port in published)
    assert len({*published}) == len(published) == 3


def test_one_service_stands_alone_and_two_share_a_database_that_is_migrated_before():
    alone = {name for name, service in COMPOSE["services"].items() if not service.get("profiles")}
    assert alone == {"sawbill"} and "depends_on" not in OURS["sawbill"]
    for name in ("first", "second"):
        assert OURS[name]["depends_on"] == {"migrate": {"condition": "service_completed_successfully"}}
        assert OURS[name]["environment"] == OURS["migrate"]["environment"]
    assert OURS["migrate"]["depends_on"] == {"database": {"condition": "service_healthy"}}


def test_every_volume_that_is_used_is_declared_or_a_folder_of_ours():
    for service in COMPOSE["services"].values():
        for source in (volume.split(":")[0] for volume in service.get("volumes", ())):
            assert source in COMPOSE["volumes"] or (DOCKER / source).is_dir(), source


def test_every_variable_that_is_set_is_a_setting():
    (image,) = (words for words in said("ENV") if "SAWBILL_" in words)
    in_image = dict(word.split("=", 1) for word in image.split())
    mounted = {volume.split(":")[1] for volume in OURS["sawbill"]["volumes"]}
    assert in_image["SAWBILL_DATA"] in mounted and OURS["sawbill"]["environment"]["SAWBILL_BOOKS"] in mounted
    for service in OURS.values():
        ours = {name for name in {**in_image, **service["environment"]} if name.startswith("SAWBILL_")}
        assert ours <= set(NAMES)
        assert (DOCKER / service["env_file"]).is_file()
    given = dict(re.findall(r"(SAWBILL_\w+)=([^(]*?) \(", (DOCKER / "settings.env").read_text()))
    assert len(given) == 1 and read_settings({**given, "SAWBILL_DATA": "/data"})


def test_the_readme_lists_every_setting_in_the_words_of_the_service():
    table = "\n".join(f"| `{name}` | {words} |" for name, words in NAMES.items())
    shown = "\n".join(re.findall(r"^\| `SAWBILL_.*$", README, re.MULTILINE))
    assert shown == table, f"docker/README.md must list:\n{table}"


COMMANDS = re.findall(r"^ +docker compose (.*?)(?: [<>] \S+)?$", README, re.MULTILINE)


@pytest.mark.parametrize("line", sorted({*COMMANDS}))
def test_each_command_of_the_readme_is_for_services_and_commands_that_there_are(line):
    words = [word for word in shlex.split(line) if word not in ("--rm", "-T", "--detach", "--no-deps")]
    if words[0] == "--profile":
        assert words[1] in OURS["first"]["profiles"]
        words = words[2:]
    verb, *rest = words
    if verb in ("build", "stop", "up"):
        assert rest and {*rest} <= set(COMPOSE["services"])
    elif verb == "run":
        assert rest[0] in OURS
        check_command(rest[1:])
    elif verb == "exec":
        assert rest[0] in COMPOSE["services"]
        if rest[1] == "sawbill":
            check_command(rest[2:])
    else:
        assert verb in ("cp", "down")


def test_each_command_of_the_readme_without_a_container_is_one_that_there_is():
    lines = [line.split("  ")[0] for line in re.findall(r"^ +(?:.*ExecStart=\S+/)?sawbill (.*)$", README, re.MULTILINE)]
    assert [line.split()[0] for line in lines] == ["serve"] * 3
    for line in lines:
        check_command(shlex.split(line))


def test_whoever_waits_waits_longer_than_whom_he_waits_for():
    (proxy,) = re.findall(r"let\s+your\s+proxy wait (\d+) s", README)
    (grace,) = {int(service["stop_grace_period"].removesuffix("s")) for service in OURS.values()}
    told = [EMERGENCY, Times().whole, USUAL_DEADLINE, GRACE, grace, int(proxy)]
    assert told == sorted({*told})
    assert grace > GRACE + ACCEPTED, "it takes leave before it ends"
    assert f"TimeoutStopSec={grace}" in README
    limits = README[README.index("Each limit of time") :].split("\n\n")[0]
    assert [float(number) for number in re.findall(r"(\d+) s\b", limits)] == told


def test_two_workers_with_all_their_threads_and_all_engines_with_their_solvers_fit_the_limit_of_processes():
    limits, beside = Limits(), 4  # the first process, the back room, a worker's own thread and that of its answers
    workers = 2 * (THREADS + SPARE + beside)
    assert (
        workers + 2 * (limits.engines + limits.bench + GUESTS) + beside < COMPOSE["services"]["sawbill"]["pids_limit"]
    )
