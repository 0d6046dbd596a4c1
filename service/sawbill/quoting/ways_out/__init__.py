"""Ways out of checks that fail or warn: what may be changed, tried as a whole."""

from sawbill.quoting.ways_out.search import TO_THE_END, Unmet, WaysOut, out_of, unmet, ways_out
from sawbill.quoting.ways_out.trying import Seen, Trial, Trials, Way

__all__ = ["TO_THE_END", "Seen", "Trial", "Trials", "Unmet", "Way", "WaysOut", "out_of", "unmet", "ways_out"]
