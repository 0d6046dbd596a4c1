"""What is told of a job."""

from __future__ import annotations

from sawbill import store
from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered


def _counted(place: int) -> f.Read:
    """What a job that runs tells of itself at a place between slashes: a number, or nothing."""

    def read(job: store.Job, _: f.Writing) -> int | None:
        told = job.detail.split("/") if job.state == "running" else []
        return int(told[place]) if place < len(told) and told[place].isdigit() else None

    return read


def _measured(place: int, number: type[int] | type[float]) -> f.Read:
    """What a job that runs tells of its speed at a place between slashes: a number, or nothing."""

    def read(job: store.Job, _: f.Writing) -> float | None:
        told = job.detail.split("/") if job.state == "running" else []
        return number(told[place]) if place < len(told) else None

    return read


class Job(Answered):
    """Work done in the background."""

    id = f.text("Its id, the last step of its address.", "1f0c9a5be2d47a8036cd")
    kind = f.text("What is done, in words.", "comparison", choices=["comparison", "proposal", "quote"])
    state = f.text(
        "Whether it waits, runs, is done or has failed.", "running", choices=["waiting", "running", "done", "failed"]
    )  # fmt: skip
    done = f.whole(
        "How many rows are done, combinations settled, or changes tried; null where it is not running.", 12,
        _counted(0), none=True,
    )  # fmt: skip
    of = f.whole(
        "How many rows, combinations or changes there are in all; null where it is not running.", 40,
        _counted(1), none=True,
    )  # fmt: skip
    best = f.whole(
        "Of a proposal, the total of the best so far, in the smallest unit of money; else null.", 12147,
        _counted(2), none=True,
    )  # fmt: skip
    gap = f.whole("By how much a better one may cost less, in that unit; else null.", 310, _counted(3), none=True)
    rate = f.number(
        "Of a comparison, how many rows are done in a second [rows a second]; else null.", 41.2, _measured(4, float),
        none=True,
    )  # fmt: skip
    seconds_left = f.whole(
        "Of a comparison, how long its other rows are likely to take at that rate [s]; else null.", 2421,
        _measured(5, int), none=True,
    )  # fmt: skip
    detail = f.text(
        "Why it failed; null where it has not.", "there is no design called x",
        lambda job, _: job.detail if job.state == "failed" else None, none=True,
    )  # fmt: skip
    made = f.moment("When it was asked for (RFC 3339, UTC).", "made")
    result = f.text(
        "Where its result is; null until it is done.", "/v1/jobs/1f0c9a5be2d47a8036cd/result",
        lambda job, _: f"/v1/jobs/{job.id}/result" if job.state == "done" else None, none=True,
    )  # fmt: skip
