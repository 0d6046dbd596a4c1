"""Proposals: of all that options left open may become, the best that keeps to wishes, proven.

`propose` is the door: a request as JSON, price books and designs in, a `Proposal` out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.proposing import proposal
from sawbill.quoting.proposing.proposal import Proposal
from sawbill.quoting.proposing.proposed import read_proposal
from sawbill.trade.design import Design

__all__ = ["Proposal", "propose", "read_proposal"]


def propose(request: Mapping[str, Any], books: Sequence[PriceBook], designs: Mapping[str, Design]) -> Proposal:
    """Make a proposal; books: those the request names, in order. Raises RequestFaultsError: with every fault."""
    return proposal.propose(read_proposal(request, books, designs), books)
