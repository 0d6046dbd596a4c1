"""For those who run the service: whether it can take requests, and what it has done so far."""

from __future__ import annotations

import os
import threading
from collections.abc import Mapping
from typing import Any, Final

from flask import Response, current_app
from flask_smorest import Blueprint

from sawbill.answer.quote import ENGINE
from sawbill.backroom import Room, RoomError, Task
from sawbill.store import StoreError
from sawbill.web.http.answers import json_answer
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.openapi import route
from sawbill.web.reckoning import readiness
from sawbill.web.running import metrics
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import Sent
from sawbill.web.work.quoting import service

operations = Blueprint("operations", __name__, description="For those who run the service.")

SOON: Final = 1.0
"""How long the back room may take to tell of itself [s]."""
PATIENCE: Final = 5.0
"""How long a plan of two boards may take [s]."""
TEXT: Final[dict[str, Any]] = {
    "type": "string",
    "description": "For each meter, lines with its help, its type and its values.",
    "examples": ['sawbill_requests_total{route="/healthz",method="GET",status="200"} 3.0'],
}


class ReadySchema(Sent):
    """That the service can take requests."""

    status = sent.text("ready, when it can.", "ready", choices=["ready"])
    engine = sent.text("The version of its engine.", ENGINE)
    designs = sent.whole("How many designs it offers [designs].", 7)
    store = sent.text(
        "Whether it keeps quotes, in a store that answers and is at head.", "kept", choices=["kept", "none"]
    )


@route(operations, "GET /readyz", ReadySchema, "It can take requests.", "not-ready", access="open")
def readyz() -> Response:
    """Say whether the service can take requests: its store answers and has this version's tables, its engines work."""
    parameters()
    found = service()
    faults = (
        [] if found.designs else [{"code": "designs", "detail": "no design is on offer; install a package of them"}]
    )
    try:
        if found.keeper.keeps:
            found.keeper.store.check()
    except StoreError as error:
        faults.append({"code": "store", "detail": str(error)})
    if not ENGINES.reckon(found.room):
        faults.append({"code": "solver", "detail": "a plan of two boards was not made and proven; see the log"})
    if faults:
        raise Problem("not-ready", "; ".join(fault["detail"] for fault in faults), faults)
    content = {
        "status": "ready",
        "engine": ENGINE,
        "designs": len(found.designs),
        "store": "kept" if found.keeper.keeps else "none",
    }
    return json_answer(content, cache="no-store")


@route(
    operations,
    "GET /metrics",
    None,
    "",
    access="metrics",
    responses={"200": {"description": "What was counted.", "content": {"text/plain": {"schema": TEXT}}}},
)
def read_metrics() -> Response:
    """Give the counts of all processes of the service, in the text format of Prometheus."""
    parameters()
    return Response(service().meters.told(_of_room(service().room)), content_type=metrics.CONTENT_TYPE)


def _of_room(room: Room) -> Mapping[str, int]:
    """What the back room tells of itself, if it does so at once."""
    try:
        told: Mapping[str, int] = room.told().result(SOON).value
    except (RoomError, TimeoutError):
        return {}
    return told


class Engines:
    """Whether the engines have been seen to reckon, by this process."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process = 0

    def reckon(self, room: Room) -> bool:
        """Have one make a plan, unless one has, and tell whether that went well."""
        with self._lock:
            if self._process != os.getpid():
                task = Task(readiness.reckons, (), label="readiness", seconds=PATIENCE)
                try:
                    self._process = os.getpid() if room.submit(task).result().value else 0
                except RoomError as error:
                    current_app.logger.error("readiness: %s", error)
            return self._process == os.getpid()


ENGINES: Final = Engines()
