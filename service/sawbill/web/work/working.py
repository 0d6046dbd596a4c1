"""Jobs: a thread of each process takes them from the store, one at a time, and hands in what they come to.

A job whose process ends is taken by another when its lease has run out. One that is deleted is dropped at once.
"""

from __future__ import annotations

import json
import logging
import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Final

from flask import Flask

from sawbill.answer.forms.jsonform import json_bytes
from sawbill.backroom import Rank
from sawbill.store import Job, Store, StoreError, UnknownJobError
from sawbill.web.admission.limits import Budget
from sawbill.web.door.request import Presence
from sawbill.web.http.problems import Problem
from sawbill.web.work import proposing, ways_out
from sawbill.web.work.handing_in import Asker
from sawbill.web.work.quoting import Service
from sawbill.web.work.sweeping import Sweep

COMPARISON: Final = "comparison"
PROPOSAL: Final = "proposal"
QUOTE: Final = "quote"
"""The kinds of jobs."""
LEASE: Final = timedelta(minutes=1)
"""How long a job is kept from others without a sign of life."""
KEPT_FOR: Final = timedelta(days=1)
"""How long what a job came to can be had, counted from when it was asked for."""
LOOK_EVERY: Final = 5.0
"""How often to look for a job that nobody has woken this process for [s]."""
ROW_SECONDS: Final = 60.0
"""How long one row of a job may take [s]."""
PASSING: Final = ("busy", "took-too-long")
"""What may be over when a job is begun again: engines, or a cluster, that could not do it now."""
LOOK_AFTER: Final = 0.3
"""How often to look whether a job is still wanted [s]."""
RENEW_EVERY: Final = 10.0
"""How often to keep a job from others, whatever becomes of it [s]."""
TELL_EVERY: Final = 1.0
"""How often to tell how far a job is [s]."""

_LOG: Final = logging.getLogger("sawbill.web.jobs")
_WORKER: Final = "sawbill-worker"
"""Where an application has its worker, and what its thread is called."""


class Worker:
    """The thread of one process that does jobs, started at the first need."""

    def __init__(self, app: Flask) -> None:
        self._app = app
        self._lock = threading.Lock()
        self._wake = threading.Event()
        self._ending = False
        self._started: tuple[int, threading.Thread] | None = None

    @property
    def _service(self) -> Service:
        found = self._app.extensions["sawbill"]
        assert isinstance(found, Service)
        return found

    def start(self) -> None:
        """Begin to take jobs, if there is a store to take them from."""
        with self._lock:
            if self._service.keeper.keeps and (self._started is None or self._started[0] != os.getpid()):
                self._ending = False
                thread = threading.Thread(target=self._work, name=_WORKER, daemon=True)
                self._started = os.getpid(), thread
                thread.start()

    def wake(self) -> None:
        """Look for a job now."""
        self.start()
        self._wake.set()

    def stop(self) -> None:
        """Take no more jobs, and wait until the one at hand is done."""
        with self._lock:
            started, self._started = self._started, None
            self._ending = True
        self._wake.set()
        if started is not None and started[0] == os.getpid():
            started[1].join()

    def _work(self) -> None:
        store = self._service.keeper.store
        while not self._ending:
            try:
                job = store.jobs.take(LEASE)
                if job is not None:
                    store.jobs.clear(KEPT_FOR)
                    self._do(store, job)
                    continue
            except StoreError as error:
                _LOG.error("jobs cannot be taken: %s", error)
            self._wake.wait(LOOK_EVERY)
            self._wake.clear()

    def _do(self, store: Store, job: Job) -> None:
        """Do a job, and hand in what it comes to, or why it cannot be done."""
        try:
            result = self._done(store, job)
            store.jobs.finish(job, result)
        except UnknownJobError:
            _LOG.info("job %s was cancelled, or taken by another", job.id)
        except Problem as problem:
            details = "; ".join(error["detail"] for error in problem.errors) or problem.detail
            _end(store, job, details, passing=job.kind == COMPARISON and problem.kind in PASSING)
        except StoreError:
            raise
        except Exception:
            _LOG.exception("job %s failed", job.id)
            _end(store, job, "something went wrong in the service; it has been logged")

    def _done(self, store: Store, job: Job) -> bytes:
        bucket, rate = f"owner {job.owner}", self._service.settings.rate
        budget = None if rate is None else Budget(store, rate, bucket)
        presence = Presence()
        asker = Asker(bucket, f"job {job.id}", Rank.JOB, budget, presence=presence, seconds=ROW_SECONDS)
        try:
            with _watched(store, job, presence):
                kinds = {PROPOSAL: self._proposed, QUOTE: self._quoted}
                return kinds.get(job.kind, self._rows)(store, job, asker)
        finally:
            asker.settle()

    def _rows(self, store: Store, job: Job, asker: Asker) -> bytes:
        return Sweep(self._service, store, job, asker, LEASE).done()

    def _proposed(self, store: Store, job: Job, asker: Asker) -> bytes:
        asked = proposing.read(json.loads(job.request), self._service, asker, at_once=False)
        tell = _Teller(store, job)
        told = proposing.answer(asked, self._service, asker, lambda far: tell(proposing.progress_text(far)))
        return json_bytes(told)

    def _quoted(self, store: Store, job: Job, asker: Asker) -> bytes:
        asked = ways_out.read(json.loads(job.request), self._service, asker)
        tell = _Teller(store, job)
        return ways_out.answer(asked, self._service, asker, lambda done, of: tell(f"{done}/{of}"))


@contextmanager
def _watched(store: Store, job: Job, presence: Presence) -> Iterator[None]:
    """Look again and again whether a job is wanted, keep it from others, and end what is at work once it is not."""
    ended = threading.Event()

    def watch() -> None:
        renewed = time.monotonic()
        while not ended.wait(LOOK_AFTER):
            try:
                if not store.jobs.holds(job):
                    presence.leave()
                    return
                if time.monotonic() - renewed >= RENEW_EVERY:
                    store.jobs.renew(job, LEASE)
                    renewed = time.monotonic()
            except UnknownJobError:
                presence.leave()
                return
            except StoreError as error:
                _LOG.error("job %s cannot be looked after: %s", job.id, error)

    thread = threading.Thread(target=watch, name="sawbill-watcher", daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


class _Teller:
    """Tells how far a job is, not more often than need be. Raises UnknownJobError: nobody wants it any more."""

    def __init__(self, store: Store, job: Job) -> None:
        self._store, self._job, self._told = store, job, time.monotonic() - TELL_EVERY

    def __call__(self, far: str) -> None:
        if time.monotonic() - self._told >= TELL_EVERY:
            self._store.jobs.renew(self._job, LEASE, far)
            self._told = time.monotonic()


def worker_of(app: Flask) -> Worker:
    """Give the worker of an application."""
    found = app.extensions[_WORKER]
    assert isinstance(found, Worker)
    return found


def employ(app: Flask) -> None:
    """Give an application its worker."""
    app.extensions[_WORKER] = Worker(app)


def _end(store: Store, job: Job, detail: str, *, passing: bool = False) -> None:
    """Tell why a job cannot be done; passing: or leave it, with what is kept of it, for when it may be."""
    try:
        if not passing:
            store.jobs.fail(job, detail)
        elif store.jobs.put_off(job, detail):
            _LOG.warning("job %s goes on later: %s", job.id, detail)
    except UnknownJobError:
        _LOG.info("job %s was cancelled, or taken by another", job.id)
