"""The schemas of a request for a quote and of one for a cutting plan."""

from __future__ import annotations

from typing import Final

from sawbill.asked.request import CUTTING_PLAN, QUOTE
from sawbill.web.schemas.declared import schema_of

QuoteRequestSchema: Final = schema_of(QUOTE)
CuttingPlanRequestSchema: Final = schema_of(CUTTING_PLAN)
