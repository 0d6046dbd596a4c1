"""The service run by gunicorn: `sawbill serve`."""

from __future__ import annotations

import gc
from pathlib import Path
from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication

from sawbill.estimating.cutting.helper import HELPER

SHARED_MEMORY = Path("/dev/shm")


class Server(BaseApplication):  # type: ignore[misc]
    """Gunicorn with an application it is handed and settings of ours."""

    def __init__(self, app: Flask, **settings: Any) -> None:
        self._app = app
        self._settings = settings
        super().__init__()

    def load_config(self) -> None:
        """Take our settings; nothing is read from the command line or a file."""
        for key, value in self._settings.items():
            self.cfg.set(key, value)

    def load(self) -> Flask:
        """Give the application."""
        return self._app


def settings(host: str, port: int, workers: int) -> dict[str, Any]:
    """Give gunicorn's settings, all of them: no file and no command line of its own adds to them.

    Whoever is asked gives up before the one who asks: the planner (`estimating.boards.EMERGENCY`), then a request
    that is to finish while the service stops (graceful_timeout), then a worker that no longer answers (timeout), and
    last whatever stands before the service (docker/README.md).
    """
    chosen: dict[str, Any] = {
        "bind": f"{host}:{port}",
        "workers": workers,
        "worker_class": "gthread",
        "threads": 4,
        "preload_app": True,
        "graceful_timeout": 30,
        "timeout": 60,
        "max_requests": 20_000,
        "max_requests_jitter": 2_000,
        "loglevel": "warning",
        "control_socket_disable": True,
        "post_worker_init": lambda worker: HELPER.warm(),
    }
    if SHARED_MEMORY.is_dir():
        chosen["worker_tmp_dir"] = str(SHARED_MEMORY)
    return chosen


def run(app: Flask, host: str, port: int, workers: int) -> None:
    """Serve until a signal ends it; the application is loaded before the workers are forked."""
    gc.collect()
    gc.freeze()  # what is loaded by now stays: no collection in a worker needs to look at it, nor copies its pages
    Server(app, **settings(host, port, workers)).run()
