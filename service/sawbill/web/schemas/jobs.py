"""What the service tells of a job."""

from __future__ import annotations

from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import Sent


class JobSchema(Sent):
    """Work done in the background."""

    id = sent.text("Its id, the last step of its address.", "1f0c9a5be2d47a8036cd")
    kind = sent.text("What is done, in words.", "comparison", choices=["comparison", "proposal", "quote"])
    state = sent.text(
        "Whether it waits, runs, is done or has failed.", "running", choices=["waiting", "running", "done", "failed"]
    )  # fmt: skip
    done = sent.whole(
        "How many rows are done, combinations settled, or changes tried; null where it is not running.", 12, none=True
    )
    of = sent.whole(
        "How many rows, combinations or changes there are in all; null where it is not running.", 40, none=True
    )
    best = sent.whole(
        "Of a proposal, the total of the best so far, in the smallest unit of money; else null.",
        12147,
        none=True,
    )
    gap = sent.whole("By how much a better one may cost less, in that unit; else null.", 310, none=True)
    detail = sent.text("Why it failed; null where it has not.", "there is no design called x", none=True)
    made = sent.text("When it was asked for (RFC 3339, UTC).", "2026-11-01T12:00:00+00:00")
    result = sent.text("Where its result is; null until it is done.", "/v1/jobs/1f0c9a5be2d47a8036cd/result", none=True)
