"""The service run by gunicorn: `sawbill serve`."""

from __future__ import annotations

import gc
import logging
import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

from flask import Flask
from gunicorn.app.base import BaseApplication
from gunicorn.glogging import Logger

from sawbill.backroom import Limits
from sawbill.backroom.starting import Keeper
from sawbill.cutting.solver.helper import HELPER
from sawbill.web.door.worker import Door
from sawbill.web.http import logs
from sawbill.web.reckoning import readiness
from sawbill.web.running import telemetry
from sawbill.web.running.listening import Master
from sawbill.web.running.metrics import Place, Process
from sawbill.web.running.settings import Settings
from sawbill.web.running.shared import MEMORY
from sawbill.web.work.quoting import service
from sawbill.web.work.working import worker_of

GRACE: Final = 30
"""How long a request that runs may go on when the service is told to end [s]."""
STUCK: Final = 60
"""After how long a worker that nothing moves in is ended and replaced [s]."""
GUESTS: Final = 1
"""How many engines more there are for who has nothing at work and wants one answer."""
_LOG: Final = logging.getLogger("sawbill.web.running.server")


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
        Master(self, self._keeper, self._count_stuck).run()

    def _count_stuck(self, process: Process) -> None:
        """Count a process that stood still and was ended, and log it."""
        _LOG.warning("a process stood still and was ended", extra={"fields": {"process": process}})
        with self._app.app_context():
            service().meters.count_stuck(process)


class JsonLog(Logger):  # type: ignore[misc]  # untyped
    """What gunicorn has to say, in lines like those of the service; requests are logged by the service itself."""

    def setup(self, cfg: Any) -> None:
        """Set its handlers up, and have them write JSON."""
        super().setup(cfg)
        for handler in self.error_log.handlers:
            handler.setFormatter(logs.JsonLines())


@contextmanager
def back_room(settings: Settings) -> Iterator[Keeper]:
    """Have a back room, which is started with the service, while that runs."""
    limits = Limits(settings.engines, guests=GUESTS, memory=settings.memory * 2**20)
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
        "timeout": STUCK,
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
    if MEMORY.is_dir():
        settings["worker_tmp_dir"] = str(MEMORY)
    logs.configure()
    readiness.load()
    gc.freeze()  # what is loaded by now stays: no collection in a worker needs to look at it, nor copies its pages
    gc.enable()  # it was not while all was loaded
    Server(app, keeper, **settings).run()


def _tell_ready(master: Master) -> None:
    """Tell where it listens: from here on whoever connects is answered."""
    _LOG.info("listening at %s", ", ".join(map(str, master.LISTENERS)))


def _begin(app: Flask) -> None:
    """In a new worker: send traces, and take jobs."""
    telemetry.send()
    worker_of(app).start()


def _give_place(server: Any, worker: Any) -> None:
    """Give a new worker the first place that no other has."""
    taken = {other.place for other in server.WORKERS.values()}
    worker.place = next(place for place in range(1, len(taken) + 2) if place not in taken)


def _take_place(server: Any, worker: Any) -> None:
    """In the new worker: count under its place."""
    Place.number = worker.place
