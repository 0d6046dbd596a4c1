"""The shape of a request for a proposal."""

from __future__ import annotations

from typing import Final

from sawbill.quoting.proposing.asked import PROPOSAL
from sawbill.web.schemas.declared import schema_of

ProposalRequestSchema: Final = schema_of(PROPOSAL)
