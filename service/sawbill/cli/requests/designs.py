"""The designs on offer."""

from __future__ import annotations

from collections.abc import Mapping

from sawbill import registry
from sawbill.cli.output.ending import refuse
from sawbill.registry import BadDesignError
from sawbill.trade.design import Design


def designs() -> Mapping[str, Design]:
    """Give the designs on offer by name. Ends the command where one of them is declared badly."""
    try:
        return registry.designs()
    except BadDesignError as error:
        refuse([str(error)])
