"""What may be changed about a stored quote."""

from __future__ import annotations

from typing import Final

from sawbill.trade.declaring.kinds import Text
from sawbill.trade.declaring.members import Group, Member, members
from sawbill.web.schemas.declared import schema_of

ABOUT_ASKED: Final = Group("AboutAsked", "What may be changed about a stored quote.", members(
    Member("label", Text(), "What it is called; empty for no label.", "guest room, 2nd try", required=True),
))  # fmt: skip
AboutAskedSchema: Final = schema_of(ABOUT_ASKED)
