"""Ways out of checks that fail or warn: what may be changed, tried as a whole."""

from sawbill.quoting.ways_out.search import WaysOut, ways_out
from sawbill.quoting.ways_out.trying import Way

__all__ = ["Way", "WaysOut", "ways_out"]
