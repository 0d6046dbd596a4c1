"""How a frame bears its loads: a model of beams, posts, springs and faces that can only press."""

from sawbill.checks.statics.ready import make_ready

__all__ = ["make_ready"]
