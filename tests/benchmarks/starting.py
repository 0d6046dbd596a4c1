"""The real service, started with `sawbill serve` on a free port of this machine, and ended afterwards."""

import http.client
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

COMMAND = Path(sys.executable).with_name("sawbill")
PATIENCE = 180
"""How long a start may take [s]: the first on a machine compiles, and the machine may be busy."""


@contextmanager
def started(workers, sawbill=COMMAND):
    """Start a service, and give its port and its process once it answers."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sawbill, "serve", "--port", str(port), "--workers", str(workers)]
    process = subprocess.Popen(command, stderr=subprocess.DEVNULL)
    try:
        wait_until_ready(port, process)
        yield port, process
    finally:
        process.terminate()
        process.wait()


def wait_until_ready(port, process, patience=PATIENCE):
    """Ask a service whether it is well until it says so, for as long as its process lives and patience lasts."""
    end = time.monotonic() + patience
    while time.monotonic() < end:
        if process.poll() is not None:
            raise SystemExit(f"the service ended as it was started, with {process.returncode}")
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=patience)
        try:
            connection.request("GET", "/healthz")
            if connection.getresponse().status == 200:
                return
        except (OSError, http.client.HTTPException):  # it does not listen yet
            pass
        finally:
            connection.close()
        time.sleep(0.1)
    raise SystemExit(f"the service did not answer within {patience} s of its start")
