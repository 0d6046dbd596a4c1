"""The designs on offer that carry somebody or something; one that does not say what it is for is checked for less."""

from sawbill.registry import designs
from sawbill.testing import reading

CARRYING = tuple(
    name
    for name, frame in ((name, design.frame({}, reading())) for name, design in designs().items())
    if frame.sleeping_places or frame.surfaces
)
