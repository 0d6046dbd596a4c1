"""Traces of requests, of work in the back room and of the store, by OpenTelemetry, an extra (`sawbill[telemetry]`).

Set up by OpenTelemetry's own variables (its SDK's specification, "environment variable specification"), such as
OTEL_EXPORTER_OTLP_ENDPOINT; without those nothing of it is loaded. Names are those of its semantic conventions. What a
query says is left out: it may open a stored quote.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from importlib.util import find_spec
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
    """Where this process traces to."""

    provider: TracerProvider | None = None
    tracer: Tracer | None = None


def wanted(environment: Mapping[str, str]) -> bool:
    """Whether traces are asked for, and can be sent; where a package lacks for it, it is logged."""
    exporter = environment.get("OTEL_TRACES_EXPORTER", "otlp" if any(map(environment.get, _ENDPOINTS)) else "none")
    if environment.get("OTEL_SDK_DISABLED", "").lower() == "true" or exporter != "otlp":
        return False
    if find_spec("opentelemetry") is None or find_spec("opentelemetry.sdk") is None:
        _LOG.error("traces are asked for by OTEL_ variables, and need packages that are not here: sawbill[telemetry]")
        return False
    return True


def begin(environment: Mapping[str, str]) -> None:
    """Trace from here on, if that is asked for; to be called before a store is opened."""
    if _Tracing.provider is not None or not wanted(environment):
        return
    from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
    from opentelemetry.sdk.resources import Resource
    from opentelemetry.sdk.trace import TracerProvider
    from opentelemetry.sdk.trace.export import BatchSpanProcessor

    name = environment.get("OTEL_SERVICE_NAME", "sawbill")
    provider = TracerProvider(resource=Resource.create({"service.name": name, "service.version": VERSION}))
    provider.add_span_processor(BatchSpanProcessor(OTLPSpanExporter()))
    os.environ.setdefault(_STABLE, "http,database")
    from opentelemetry.instrumentation.sqlalchemy import SQLAlchemyInstrumentor

    # It says that it knows SQLAlchemy up to 2.0; with what there is, a test holds it to what it does.
    SQLAlchemyInstrumentor().instrument(tracer_provider=provider, skip_dep_check=True)
    _Tracing.provider, _Tracing.tracer = provider, provider.get_tracer("sawbill", VERSION)


def watch(app: Flask) -> None:
    """Trace every request of an application, if this process traces."""
    if _Tracing.provider is None:
        return
    from opentelemetry.instrumentation.flask import FlaskInstrumentor

    FlaskInstrumentor().instrument_app(app, response_hook=_without_query, tracer_provider=_Tracing.provider)  # type: ignore[no-untyped-call]  # theirs


@contextmanager
def span(function: Callable[..., Any]) -> Iterator[None]:
    """Trace a wait for an engine that works a function out, if this process traces.

    It is not made the current one: a wait may be left off and gone on with.
    """
    if _Tracing.tracer is None:
        yield
        return
    name = f"{function.__module__}.{function.__qualname__}"
    traced = _Tracing.tracer.start_span("engine task", attributes={"code.function.name": name})
    try:
        yield
    finally:
        traced.end()


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
