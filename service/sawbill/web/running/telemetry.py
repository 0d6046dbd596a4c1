"""Traces of requests, of work in the back room and of the store, by OpenTelemetry, an extra (`sawbill[telemetry]`).

Set up by OpenTelemetry's own variables (its SDK's specification, "environment variable specification"), such as
OTEL_EXPORTER_OTLP_ENDPOINT; without those nothing of it is loaded. Names are those of its semantic conventions. What a
query says is left out: it may open a stored quote.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Mapping
from threading import Lock
from typing import TYPE_CHECKING, Any, Final

from flask import Flask

from sawbill.version import VERSION

if TYPE_CHECKING:
    from opentelemetry.sdk.trace import TracerProvider
    from opentelemetry.trace import Span, Tracer

_ENDPOINTS: Final = ("OTEL_EXPORTER_OTLP_TRACES_ENDPOINT", "OTEL_EXPORTER_OTLP_ENDPOINT")
_STABLE: Final = "OTEL_SEMCONV_STABILITY_OPT_IN"
_QUERIES: Final = ("url.query", "http.target", "http.url", "url.full")
"""Attributes of a request that may hold its query."""
_LOG: Final = logging.getLogger("sawbill.web.running.telemetry")


class _Tracing:
    """Where this process traces to; sender: the process that sends what it traced, if any does yet."""

    provider: TracerProvider | None = None
    tracer: Tracer | None = None
    sender: int | None = None
    lock: Final = Lock()


def wanted(environment: Mapping[str, str]) -> bool:
    """Whether traces are asked for."""
    exporter = environment.get("OTEL_TRACES_EXPORTER", "otlp" if any(map(environment.get, _ENDPOINTS)) else "none")
    return environment.get("OTEL_SDK_DISABLED", "").lower() != "true" and exporter == "otlp"


def begin(environment: Mapping[str, str]) -> None:
    """Trace from here on, if that is asked for; to be called before a store is opened.

    Where a package lacks for it, that is logged. Nothing is sent, and no thread started, before `send` is called.
    """
    if _Tracing.provider is not None or not wanted(environment):
        return
    try:
        import opentelemetry.exporter.otlp.proto.http.trace_exporter
        import opentelemetry.instrumentation.flask  # noqa: F401  # to know that they are here
        from opentelemetry.instrumentation.sqlalchemy import SQLAlchemyInstrumentor
        from opentelemetry.sdk.resources import Resource
        from opentelemetry.sdk.trace import TracerProvider
    except ImportError as error:
        told = "traces are asked for by OTEL_ variables, and need packages that are not here: sawbill[telemetry] (%s)"
        _LOG.error(told, error.name)
        return
    name = environment.get("OTEL_SERVICE_NAME", "sawbill")
    provider = TracerProvider(resource=Resource.create({"service.name": name, "service.version": VERSION}))
    os.environ.setdefault(_STABLE, "http,database")
    # It says that it knows SQLAlchemy up to 2.0; with what there is, a test holds it to what it does.
    SQLAlchemyInstrumentor().instrument(tracer_provider=provider, skip_dep_check=True)
    _Tracing.provider, _Tracing.tracer = provider, provider.get_tracer("sawbill", VERSION)


def send() -> None:
    """Send what this process traces, from now on, by a thread of its own; to be called where it serves.

    A process that is forked to serve does so itself: one that starts others has no thread beside it.
    """
    if _Tracing.provider is None or _Tracing.sender == os.getpid():
        return
    from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
    from opentelemetry.sdk.trace.export import BatchSpanProcessor

    with _Tracing.lock:
        if _Tracing.sender is None:  # else the thread of whoever forked it is started again by the processor itself
            _Tracing.provider.add_span_processor(BatchSpanProcessor(OTLPSpanExporter()))
        _Tracing.sender = os.getpid()


def watch(app: Flask) -> None:
    """Trace every request of an application, if this process traces."""
    if _Tracing.provider is None:
        return
    from opentelemetry.instrumentation.flask import FlaskInstrumentor

    FlaskInstrumentor().instrument_app(app, response_hook=_without_query, tracer_provider=_Tracing.provider)  # type: ignore[no-untyped-call]  # theirs
    app.before_request(send)


def task(function: Callable[..., Any]) -> Callable[[object], None]:
    """Trace a task that an engine works out, if this process traces, and give what is to be called at its end.

    It is not made the current one: others are handed in before it ends.
    """
    if _Tracing.tracer is None:
        return _nothing
    name = f"{function.__module__}.{function.__qualname__}"
    traced = _Tracing.tracer.start_span("engine task", attributes={"code.function.name": name})
    return lambda _: traced.end()


def _nothing(_: object) -> None:
    """Do nothing."""


def flush() -> None:
    """Send what is not sent yet."""
    if _Tracing.provider is not None:
        _Tracing.provider.force_flush()


def _without_query(span: Span, _: str, __: object) -> None:
    """Take the query out, once all is said of a request."""
    held = getattr(span, "attributes", None) or {}
    for name in _QUERIES:
        if name in held:
            span.set_attribute(name, str(held[name]).partition("?")[0] if name != "url.query" else "")
