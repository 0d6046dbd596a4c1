"""A cluster of processes on this machine: a scheduler, workers, and certificates of its own."""

import datetime
import ipaddress
import os
import subprocess
import sys
import time
from contextlib import contextmanager, suppress
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from tests.web.serving import free_port

ROOT = Path(__file__).parents[3]
BIN = Path(sys.executable).parent
PATIENCE = 240
"""How long to wait for what is sure to come: a worker on a busy machine may start for a minute [s]."""


class Machines:
    """A scheduler and workers; whichever is lost may be started again."""

    def __init__(self, folder, scheme="tcp", **environ):
        self.port, self.folder = free_port(), folder
        self.address = f"{scheme}://127.0.0.1:{self.port}"
        self.environ = {**os.environ, "PYTHONPATH": str(ROOT), "SAWBILL_ENGINES": "1", **environ}
        self.scheduler, self.workers = None, []

    def start(self, workers):
        self.begin_scheduler()
        self.workers += [self.run_worker() for _ in range(workers)]
        wait_until(lambda: self.told().count("joined the scheduler") == workers)

    def mend(self):
        """Start again whatever was lost: what is asked meanwhile waits for it."""
        if self.scheduler.poll() is not None:
            self.begin_scheduler()
        self.workers = [self.run_worker() if each.poll() is not None else each for each in self.workers]

    def lose_worker(self):
        lost = self.workers.pop(0)
        lost.kill()
        lost.wait()
        self.workers.append(lost)

    def lose_scheduler(self):
        self.scheduler.kill()
        self.scheduler.wait()

    def run_worker(self):
        return self._run("sawbill", "work", self.address)

    def begin_scheduler(self):
        scheme = self.address.split(":")[0]
        words = ("--host", f"{scheme}://127.0.0.1", "--port", str(self.port), "--no-dashboard")
        self.scheduler = self._run("dask-scheduler" if (BIN / "dask-scheduler").exists() else "dask", *words)

    def _run(self, command, *words):
        words = ("scheduler", *words) if command == "dask" else words
        with (self.folder / "log").open("a") as log:
            return subprocess.Popen([BIN / command, *words], env=self.environ, stdout=log, stderr=log, cwd=self.folder)

    def end(self):
        for each in [*self.workers, self.scheduler]:
            with suppress(OSError):
                each.kill()
        for each in [*self.workers, self.scheduler]:
            each.wait()

    def told(self):
        return (self.folder / "log").read_text()


@contextmanager
def machines(folder, workers, **more):
    """Have a cluster for a while."""
    found = Machines(folder, **more)
    try:
        found.start(workers)
        yield found
    finally:
        found.end()


def wait_until(holds, seconds=PATIENCE):
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.05)


def certificates(folder):
    """Make a certificate that every machine shows and trusts, and give the settings that name it."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "cluster of a test")])
    now = datetime.datetime.now(datetime.UTC)
    made = (
        x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - datetime.timedelta(days=1)).not_valid_after(now + datetime.timedelta(days=1))
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .add_extension(x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address("127.0.0.1"))]), critical=False)
        .sign(key, hashes.SHA256())
    )  # fmt: skip
    (folder / "cert.pem").write_bytes(made.public_bytes(serialization.Encoding.PEM))
    private = (serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    (folder / "key.pem").write_bytes(key.private_bytes(*private))
    tls = "DASK_DISTRIBUTED__COMM__TLS__"
    found = {f"{tls}CA_FILE": "cert", "DASK_DISTRIBUTED__COMM__REQUIRE_ENCRYPTION": "True"}
    for role in ("CLIENT", "SCHEDULER", "WORKER"):
        found |= {f"{tls}{role}__CERT": "cert", f"{tls}{role}__KEY": "key"}
    return {key: str(folder / f"{text}.pem") if text != "True" else text for key, text in found.items()}
