"""What the files in docker/ say: that they agree with each other, with the service, and with what they promise."""

import ast
import json
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import click
import pytest
import yaml
from prometheus_client.parser import text_string_to_metric_families

from sawbill.backroom import Limits
from sawbill.cli.commands.serve import serve
from sawbill.cli.main import main
from sawbill.cutting import EMERGENCY
from sawbill.web.door.house import Times
from sawbill.web.door.worker import SPARE, THREADS
from sawbill.web.healthy import USUAL_PORT, fault
from sawbill.web.running.listening import ACCEPTED
from sawbill.web.running.metrics import COUNTED, Meters
from sawbill.web.running.server import GRACE, GUESTS
from sawbill.web.running.settings import NAMES, USUAL_DEADLINE, read_settings

ROOT = Path(__file__).parents[2]
DOCKER = ROOT / "docker"
README = (DOCKER / "README.md").read_text()
COMPOSE = yaml.safe_load((DOCKER / "compose.yaml").read_text())
CLUSTER = yaml.safe_load((DOCKER / "compose.cluster.yaml").read_text())
OURS = {name: each for name, each in COMPOSE["services"].items() if each["image"] == "sawbill"}
IN_CLUSTER = {name: each for name, each in CLUSTER["services"].items() if each["image"] == "sawbill-cluster"}
EVERY = {
    f"{name} of {file['name']}": (file, service)
    for file in (COMPOSE, CLUSTER) for name, service in file["services"].items()
}  # fmt: skip
"""Every service of both files, beside the file it is in."""

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
    assert all("user" not in service for service in [*OURS.values(), *IN_CLUSTER.values()])


def test_nothing_is_fetched_but_packages_and_those_only_by_their_hashes():
    assert not said("ADD")
    fetching = [words for words in said("RUN") if "pip" in words and "--no-index" not in words]
    assert len(fetching) == 1
    assert "pip download --require-hashes --only-binary :all:" in fetching[0]
    others = [words for words in said("RUN") if "pip" in words and "--no-index" in words]
    fetchers = [words.count("bin/pip ") - words.count("uninstall") for words in others]
    assert fetchers == [words.count("--no-index") for words in others] == [2]


def test_what_is_left_out_of_the_image_is_loaded_by_no_part_of_the_service():
    """pandas is: a service that can quote, and the engines' part of it, has none of it."""
    (left_out,) = re.findall(r"uninstall --yes ([\w ]+?) +&&", " ".join(said("RUN")))
    code = (
        "import sys\n"
        f"sys.modules.update(dict.fromkeys({left_out.split()!r}))\n"
        "from sawbill.web.app import create_app\n"
        "asked = '/v1/designs/bench/quote.xlsx?price_book=sample-inch'\n"
        "answer = create_app().test_client().get(asked)\n"
        "sys.exit(answer.status_code != 200)"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)


def test_the_base_is_a_named_release_of_slim_debian():
    assert said("ARG") == ["BASE=debian:bookworm-slim", "LOCK=service", "EXTRAS="]
    assert {words.split()[0] for words in said("FROM")} == {"${BASE}"}
    assert INSTRUCTIONS[0][0] == "ARG", "what stands before the first FROM holds for all"


@pytest.mark.parametrize("path", sorted(filter(Path.is_file, DOCKER.iterdir())), ids=lambda path: path.name)
def test_no_file_names_a_host_of_others(path):
    hosts = re.findall(r"\b(?:[\w-]+\.)+(?:com|dev|io|net|org)\b|\b[\w+]+://[\w.:@-]+", path.read_text())
    known = {
        "http://127.0.0.1:8000",
        "postgresql+psycopg://sawbill@database",
        "tls://scheduler:8786",
        "tls://HOST:8786",
        "tls://127.0.0.1:8786",
    }
    assert {*hosts} <= known


def test_what_is_copied_into_the_build_is_there_and_is_what_the_wheel_needs():
    first, *lines = [line for line in (ROOT / ".dockerignore").read_text().splitlines() if not line.startswith("#")]
    assert first == "*"
    let_in = {line[1:] for line in lines if line.startswith("!")}
    assert all((ROOT / name).exists() for name in let_in)
    copied = {words.split()[0] for words in said("COPY") if "--from" not in words}
    locks = {f".ci/lock/{name}.txt" for name in ("service", CLUSTER["x-ours"]["build"]["args"]["LOCK"])}
    assert copied - {".ci/lock/${LOCK}.txt"} | locks <= let_in | {"."}
    assert {"LICENSE", "README.md", "designs", "pricebooks", "pyproject.toml", "service"} <= let_in


def test_the_container_starts_a_command_that_there_is():
    (entry,), (command,) = said("ENTRYPOINT"), said("CMD")
    assert ast.literal_eval(entry) == ["sawbill"]
    check_command(ast.literal_eval(command))
    for service in [*OURS.values(), *IN_CLUSTER.values()]:
        if "entrypoint" not in service:
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


@pytest.mark.parametrize("service", [*OURS.values(), *IN_CLUSTER.values()], ids=[*OURS, *IN_CLUSTER])
def test_a_service_of_ours_can_write_nowhere_but_in_its_volumes(service):
    assert service["read_only"] is True
    assert service["tmpfs"] == ["/tmp:size=64m"]
    assert service["cap_drop"] == ["ALL"]
    assert service["security_opt"] == ["no-new-privileges:true"]
    assert not service.get("privileged") and "cap_add" not in service


@pytest.mark.parametrize("name", EVERY)
def test_every_service_is_bounded_and_none_is_told_a_secret_in_its_environment(name):
    file, service = EVERY[name]
    assert {"mem_limit", "cpus", "pids_limit"} <= set(service)
    given = service.get("environment", {})
    secret = {
        variable: text for variable, text in given.items() if re.search("PASSWORD|__CERT|__KEY|CA_FILE", variable)
    }
    assert all(variable.endswith("_FILE") for variable in secret if "PASSWORD" in variable)
    names = [Path(path).name for path in secret.values()]
    assert {*names} == {*service.get("secrets", ())} <= set(file["secrets"])
    assert all(path.startswith("/run/secrets/") for path in secret.values())


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
    for file, service in EVERY.values():
        for source in (volume.split(":")[0] for volume in service.get("volumes", ())):
            assert source in file["volumes"] or (DOCKER / source).is_dir(), source


def test_machines_of_a_cluster_show_certificates_and_nobody_else_reaches_them():
    """Whoever reaches the scheduler can run programs on every worker."""
    door, scheduler, worker = (IN_CLUSTER[name] for name in ("door", "scheduler", "worker"))
    address = door["environment"]["SAWBILL_CLUSTER"]
    assert worker["command"] == ["work", address] and address == "tls://scheduler:8786"
    tls = "DASK_DISTRIBUTED__COMM__TLS__"
    for role, service in (("CLIENT", door), ("SCHEDULER", scheduler), ("WORKER", worker)):
        given = service["environment"]
        assert given["DASK_DISTRIBUTED__COMM__REQUIRE_ENCRYPTION"] == "True"
        assert {f"{tls}CA_FILE", f"{tls}{role}__CERT", f"{tls}{role}__KEY"} <= set(given)
    assert scheduler["networks"] == worker["networks"] == ["cluster"]
    assert CLUSTER["networks"]["cluster"] == CLUSTER["networks"]["database"] == {"internal": True}
    assert not any(service.get("ports") for name, service in CLUSTER["services"].items() if name != "door")
    assert "depends_on" not in scheduler, "workers come and go by themselves"
    assert read_settings(
        {name: text for name, text in door["environment"].items() if name == "SAWBILL_CLUSTER"}
    ).cluster


def test_the_image_of_a_cluster_has_what_its_machines_need():
    arguments = {tuple(service["build"]["args"].items()) for service in IN_CLUSTER.values()}
    ((lock, extras),) = [(dict(each)["LOCK"], dict(each)["EXTRAS"]) for each in arguments]
    locked = (ROOT / ".ci/lock" / f"{lock}.txt").read_text()
    known = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["optional-dependencies"]
    for extra in extras.strip("[]").split(","):
        for each in known[extra]:
            assert f"\n{re.split('[>=<]', each)[0]}==" in locked


def test_certificates_are_made_as_the_readme_says(tmp_path):
    """By its own commands, less what takes another user."""
    (block,) = [each for each in re.findall(r"(?:^    .*\n)+", README, re.MULTILINE) if "openssl req" in each]
    script = "\n".join(line.strip() for line in block.splitlines() if "chown" not in line)
    subprocess.run(["sh", "-ec", script], cwd=tmp_path, check=True, capture_output=True)
    assert {Path(each["file"]) for each in CLUSTER["secrets"].values() if "file" in each} == {
        path.relative_to(tmp_path) for path in tmp_path.glob("certificates/*")
    }


def test_every_variable_that_is_set_is_a_setting():
    (image,) = (words for words in said("ENV") if "SAWBILL_" in words)
    in_image = dict(word.split("=", 1) for word in image.split())
    mounted = {volume.split(":")[1] for volume in OURS["sawbill"]["volumes"]}
    assert in_image["SAWBILL_DATA"] in mounted and OURS["sawbill"]["environment"]["SAWBILL_BOOKS"] in mounted
    for service in [*OURS.values(), *IN_CLUSTER.values()]:
        ours = {name for name in {**in_image, **service["environment"]} if name.startswith("SAWBILL_")}
        assert ours <= set(NAMES)
        assert (DOCKER / service.get("env_file", "settings.env")).is_file()
    given = dict(re.findall(r"(SAWBILL_\w+)=([^(]*?) \(", (DOCKER / "settings.env").read_text()))
    assert len(given) == 1 and read_settings({**given, "SAWBILL_DATA": "/data"})


def test_the_dashboard_asks_for_what_is_counted_by_the_names_it_has():
    told = Meters().told(dict.fromkeys(COUNTED, 0)).decode()
    families = {family.name: family for family in text_string_to_metric_families(told)}
    ends = {"counter": "_total", "histogram": "_bucket"}
    counted = {name + ends.get(family.type, "") for name, family in families.items()}
    panels = json.loads((DOCKER / "dashboard.json").read_text())["panels"]
    asked = [target["expr"] for panel in panels for target in panel["targets"]]
    names = {name for each in asked for name in re.findall(r"sawbill_\w+", each)}
    assert names == counted
    labels = {label for family in families.values() for sample in family.samples for label in sample.labels}
    by = {label for each in asked for labels in re.findall(r"by \(([\w, ]+)\)", each) for label in labels.split(", ")}
    assert by - {"le", "proof", "process", "route", "status"} <= labels
    rooms = {each.labels["what"] for each in families["sawbill_back_room"].samples}
    kinds = {kind for each in asked for kinds in re.findall(r'what=~"([\w|]+)"', each) for kind in kinds.split("|")}
    assert kinds <= rooms


def test_the_readme_lists_every_setting_in_the_words_of_the_service():
    table = "\n".join(f"| `{name}` | {words} |" for name, words in NAMES.items())
    shown = "\n".join(re.findall(r"^\| `SAWBILL_.*$", README, re.MULTILINE))
    assert shown == table, f"docker/README.md must list:\n{table}"


COMMANDS = re.findall(r"^ +docker compose (.*?)(?: [<>] \S+)?$", README, re.MULTILINE)


@pytest.mark.parametrize("line", sorted({*COMMANDS}))
def test_each_command_of_the_readme_is_for_services_and_commands_that_there_are(line):
    words = [word for word in shlex.split(line) if word not in ("--rm", "-T", "--detach", "--no-deps")]
    file, ours = COMPOSE, OURS
    if words[0] == "--file":
        assert words[1] == "compose.cluster.yaml"
        file, ours, words = CLUSTER, IN_CLUSTER, words[2:]
    if words[0] == "--profile":
        assert words[1] in OURS["first"]["profiles"]
        words = words[2:]
    verb, *rest = words
    if verb in ("build", "stop", "up"):
        scaled = [rest.pop(i + 1).partition("=")[0] for i, word in enumerate(rest) if word == "--scale"]
        assert rest or file is CLUSTER
        assert {*scaled, *rest} - {"--scale"} <= set(file["services"])
    elif verb == "run":
        assert rest[0] in ours
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
