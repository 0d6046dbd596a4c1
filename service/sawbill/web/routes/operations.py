"""For those who run the service: whether it can take requests, and what it has done so far."""

from __future__ import annotations

import os
import threading
from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint

from sawbill.estimating import cutting
from sawbill.estimating.cutting import CuttingPlan, Order, Piece, Stock
from sawbill.store import StoreError
from sawbill.trade.lengths import INCH
from sawbill.web import metrics
from sawbill.web.answers import json_answer
from sawbill.web.openapi import route
from sawbill.web.problems import Problem
from sawbill.web.queries import parameters
from sawbill.web.quoting import service
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import Sent
from sawbill.web.schemas.quote import ENGINE

operations = Blueprint("operations", __name__, description="For those who run the service.")

TINY: Final = Order(
    stocks=(Stock("board", "wood", 96 * INCH, 400),),
    pieces=(Piece("a", 30 * INCH, 4, frozenset({"wood"})), Piece("b", 20 * INCH, 3, frozenset({"wood"}))),
    kerf=INCH // 8,
)
"""An order that needs the solver; 180 in and its kerfs come out of no fewer than two boards of 96 in."""
TEXT: Final[dict[str, Any]] = {
    "type": "string",
    "description": "A line each for the help, the type and the values of a meter.",
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
    """Tell whether the service can take requests: its store answers and is at head, its solver is warm."""
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
    if not SOLVER.warm():
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
    """Tell what all processes of the service have counted, in the text format of Prometheus."""
    parameters()
    return Response(service().meters.told(), content_type=metrics.CONTENT_TYPE)


class Solver:
    """Whether the solver of this process has made a plan, which loads all that it needs."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process = 0

    def warm(self) -> bool:
        """Have it make a plan, unless it has in this process, and tell whether that went well."""
        with self._lock:
            if self._process != os.getpid():
                made = cutting.plan(TINY)
                if isinstance(made, CuttingPlan) and made.cost == made.bound:
                    self._process = os.getpid()
            return self._process == os.getpid()


SOLVER: Final = Solver()
