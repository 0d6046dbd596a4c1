"""Every check a frame is held against, in the order in which a quote lists them."""

from __future__ import annotations

from sawbill.checks.bed import check_beds
from sawbill.checks.finding import Finding
from sawbill.trade.frame import Frame


def check_frame(frame: Frame) -> list[Finding]:
    """Every finding on a frame as it stands."""
    return check_beds(frame)
