"""The health check, against the service as it runs."""

import os
import re
import socket
import subprocess
import sys
import time

import pytest
from tests.web.serving import free_port

from sawbill.web.healthy import fault


@pytest.fixture(scope="module")
def port(tmp_path_factory):
    """A service that answers to one host name only, as behind a proxy."""
    number = free_port()
    log = tmp_path_factory.mktemp("service") / "log"
    environment = {**os.environ, "SAWBILL_TRUSTED_HOSTS": "quotes.example, other.example"}
    start = "from sawbill.cli.main import main; main()"
    command = [sys.executable, "-c", start, "serve", "--port", str(number), "--workers", "1"]
    with log.open("wb") as out:
        server = subprocess.Popen(command, env=environment, stdout=out, stderr=out)
    try:
        end = time.monotonic() + 60
        while fault(number, environment) is not None:
            assert server.poll() is None and time.monotonic() < end, log.read_text()
            time.sleep(0.1)
        yield number
    finally:
        server.terminate()
        assert server.wait(40) == 0


def healthy(*port, **environment):
    command = [sys.executable, "-m", "sawbill.web.healthy", *map(str, port)]
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False, timeout=30)


def test_a_service_that_answers_is_healthy_by_a_name_that_it_answers_to(port):
    assert healthy(port, SAWBILL_TRUSTED_HOSTS="quotes.example, other.example").returncode == 0
    assert healthy(SAWBILL_TRUSTED_HOSTS="quotes.example", SAWBILL_PORT=str(port)).returncode == 0
    other = healthy(port)
    assert other.returncode == 1
    assert other.stderr == f"/healthz on port {port} answers 400; it must be 200\n"


def test_a_port_where_nobody_answers_is_not_healthy():
    with socket.socket() as closed:
        closed.bind(("127.0.0.1", 0))  # and does not listen
        port = closed.getsockname()[1]
        gone = healthy(port)
    assert gone.returncode == 1
    assert gone.stderr.startswith(f"port {port} does not answer: ConnectionRefusedError")
    assert "Traceback" not in gone.stderr


def test_the_health_check_loads_little():
    command = [sys.executable, "-X", "importtime", "-m", "sawbill.web.healthy", "1"]
    loaded = subprocess.run(command, capture_output=True, text=True, check=False, timeout=30).stderr
    assert "http.client" in loaded
    assert not re.search(r"\| +(flask|numpy|sqlalchemy|gunicorn)\b", loaded)
