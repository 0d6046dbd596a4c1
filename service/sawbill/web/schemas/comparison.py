"""The shape of a request for a comparison."""

from __future__ import annotations

from typing import Final

from sawbill.quoting.comparing.asked import BASELINE, COMPARISON, DESIGN
from sawbill.web.schemas.declared import schema_of

ComparisonRequestSchema: Final = schema_of(COMPARISON)
ComparedDesignAskedSchema: Final = schema_of(DESIGN)
BaselineAskedSchema: Final = schema_of(BASELINE)
