"""The service run by gunicorn: `sawbill serve`."""

from __future__ import annotations

import gc
import logging
import os
import shutil
import socket
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from flask import Flask
from gunicorn.app.base import BaseApplication
from gunicorn.glogging import Logger

from sawbill.backroom import Limits
from sawbill.backroom.starting import Keeper
from sawbill.estimating import cutting
from sawbill.estimating.cutting.helper import HELPER
from sawbill.web import logs
from sawbill.web.door.worker import Door
from sawbill.web.listening import Master
from sawbill.web.metrics import FOLDER, Place, count_together
from sawbill.web.settings import Settings
from sawbill.web.working import worker_of

SHARED_MEMORY: Final = Path("/dev/shm")
GRACE: Final = 30
"""How long a request that runs may go on when the service is told to end [s]."""
_SHARED: Final = "sawbill-shared-"
_LOG: Final = logging.getLogger("sawbill.web.server")


class Server(BaseApplication):  # type: ignore[misc]  # untyped
    """Gunicorn with an application it is handed and settings of ours."""

    def __init__(self, app: Flask, keeper: Keeper | None = None, **settings: Any) -> None:
        self._app, self._keeper = app, keeper
        self._settings = settings
        super().__init__()

    def load_config(self) -> None:
        """Take our settings; nothing is read from the command line or a file."""
        for key, value in self._settings.items():
            self.cfg.set(key, value)

    def load(self) -> Flask:
        """Give the application."""
        return self._app

    def run(self) -> None:
        """Serve until a signal ends it."""
        Master(self, self._keeper).run()


class JsonLog(Logger):  # type: ignore[misc]  # untyped
    """What gunicorn has to say, in lines like those of the service; requests are logged by the service itself."""

    def setup(self, cfg: Any) -> None:
        """Set its handlers up, and have them write JSON."""
        super().setup(cfg)
        for handler in self.error_log.handlers:
            handler.setFormatter(logs.JsonLines())


@contextmanager
def meters(folder: Path) -> Iterator[None]:
    """Have the processes of a service count together, while it runs: in a folder they share.

    PROMETHEUS_MULTIPROC_DIR may name another, which is emptied of what an earlier run left.
    """
    Place.number = 0
    named = os.environ.get(FOLDER)
    if named:
        other = Path(named)
        other.mkdir(parents=True, exist_ok=True)
        for left in other.glob("*.db"):
            left.unlink()
        yield
        return
    owner, os.environ[FOLDER] = os.getpid(), str(folder)
    try:
        yield
    finally:
        if os.getpid() == owner:  # a worker ends by the same way, and others go on
            del os.environ[FOLDER]
            count_together(False)


@contextmanager
def shared_folder() -> Iterator[Path]:
    """Give the processes of a service a folder for what they share, in memory, while the service runs."""
    memory = SHARED_MEMORY if os.access(SHARED_MEMORY, os.W_OK) else Path(tempfile.gettempdir())
    for left in memory.glob(f"{_SHARED}*"):  # of a service that was killed
        if not Path("/proc", left.name.split("-")[2]).exists():
            shutil.rmtree(left, ignore_errors=True)
    owner, folder = os.getpid(), Path(tempfile.mkdtemp(prefix=f"{_SHARED}{os.getpid()}-", dir=memory))
    try:
        yield folder
    finally:
        if os.getpid() == owner:
            shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def back_room(settings: Settings) -> Iterator[Keeper]:
    """Have a back room, which is started with the service, while that runs."""
    limits = Limits(settings.engines, memory=settings.memory * 2**20)
    owner, keeper = os.getpid(), Keeper(limits, HELPER.warm)
    try:
        yield keeper
    finally:
        if os.getpid() == owner:
            keeper.end()


def run(
    app: Flask, keeper: Keeper, host: str, port: int, workers: int, bound: socket.socket | None = None
) -> None:  # fmt: skip
    """Serve until a signal ends it; the application is loaded before the workers are forked.

    keeper: of its back room; bound: the socket to listen on, if there is one already.
    """
    address = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    settings: dict[str, Any] = {
        "bind": address if bound is None else f"fd://{bound.detach()}",
        "workers": workers,
        "worker_class": Door,
        "preload_app": True,
        "timeout": 60,
        "graceful_timeout": GRACE,
        "max_requests": 50_000,
        "max_requests_jitter": 5_000,
        "loglevel": "warning",
        "logger_class": JsonLog,
        "control_socket_disable": True,
        "when_ready": _tell_ready,
        "pre_fork": _give_place,
        "post_fork": _take_place,
        "post_worker_init": lambda _: _begin(app),
    }
    if SHARED_MEMORY.is_dir():
        settings["worker_tmp_dir"] = str(SHARED_MEMORY)
    logs.configure()
    cutting.make_ready()  # before the workers are forked, which then share what is compiled
    gc.collect()
    gc.freeze()  # what is loaded by now stays: no collection in a worker needs to look at it, nor copies its pages
    Server(app, keeper, **settings).run()


def _tell_ready(master: Master) -> None:
    """Tell where it listens: from here on whoever connects is answered."""
    _LOG.info("listening at %s", ", ".join(map(str, master.LISTENERS)))


def _begin(app: Flask) -> None:
    """In a new worker: take jobs."""
    worker_of(app).start()


def _give_place(server: Any, worker: Any) -> None:
    """Give a new worker the first place that no other has."""
    taken = {other.place for other in server.WORKERS.values()}
    worker.place = next(place for place in range(1, len(taken) + 2) if place not in taken)


def _take_place(server: Any, worker: Any) -> None:
    """In the new worker: count under its place."""
    Place.number = worker.place
