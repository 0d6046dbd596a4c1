"""A PostgreSQL server of the tests' own: made in a folder, reached by a socket in it, gone afterwards."""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg

# In a cluster of a minute's life nothing is to outlive the machine; what outlives a killed process is not touched.
OPTIONS = "-c listen_addresses= -c fsync=off -c max_connections=200 -c shared_buffers=64MB -k"


def programs() -> Path:
    """The folder of the server's programs: where Debian puts them, or on the path."""
    debian = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    found = debian[-1] if debian else shutil.which("initdb")
    assert found, "PostgreSQL's programs are not here: install Debian's package postgresql, or add -m 'not postgresql'"
    return Path(found).resolve().parent


class Cluster:
    def __init__(self, folder: Path) -> None:
        self.folder = folder
        # The server refuses to be run by root.
        self._user = {"user": _somebody(), "group": _somebody(), "extra_groups": []} if os.geteuid() == 0 else {}
        if self._user:
            os.chown(folder, pwd.getpwnam(_somebody()).pw_uid, pwd.getpwnam(_somebody()).pw_gid)
        self.run("initdb", "-D", folder / "data", "-U", "sawbill", "-A", "trust", "-k", "-E", "UTF8", "--no-sync")
        self.start()

    def run(self, program: str, *words: str | Path) -> None:
        log = self.folder / f"{program}.log"
        with log.open("ab") as out:  # a pipe would stay open as long as the server runs
            command = [programs() / program, *words]
            code = subprocess.run(
                command, stdout=out, stderr=out, cwd=self.folder, check=False, **self._user
            ).returncode
        assert code == 0, log.read_text()

    def start(self) -> None:
        options = f"{OPTIONS} {self.folder}"
        log = self.folder / "server.log"
        self.run("pg_ctl", "-D", self.folder / "data", "-o", options, "-l", log, "-w", "start")

    def stop(self) -> None:
        """Stop it as a crash does: what was not yet in the data files has to come from its log."""
        self.run("pg_ctl", "-D", self.folder / "data", "-m", "immediate", "-w", "stop")

    def address(self, database: str) -> str:
        return f"postgresql+psycopg://sawbill@/{database}?host={self.folder}"

    def database(self) -> str:
        """Empty the database, and give its address."""
        with psycopg.connect(host=str(self.folder), user="sawbill", dbname="postgres", autocommit=True) as connection:
            connection.execute("DROP SCHEMA IF EXISTS public CASCADE")
            connection.execute("CREATE SCHEMA public")
        return self.address("postgres")


def _somebody() -> str:
    try:
        return pwd.getpwnam("postgres").pw_name
    except KeyError:
        return "nobody"


@contextmanager
def cluster() -> Iterator[Cluster]:
    folder = Path(tempfile.mkdtemp(prefix="sawbill-", dir="/tmp"))  # a socket's path must be short
    made = None
    try:
        made = Cluster(folder)
        yield made
    finally:
        if made is not None:
            made.stop()
        shutil.rmtree(folder)
