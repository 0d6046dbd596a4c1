"""Whether furniture leans or comes apart at its corners when it is pushed from its side or its end: racking."""

from sawbill.checks.racking.findings import Direction, Leaning, findings, rack

__all__ = ["Direction", "Leaning", "findings", "rack"]
