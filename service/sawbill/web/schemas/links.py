"""What may be asked of a link that is to be made."""

from __future__ import annotations

from typing import Final

from sawbill.answer.tables import TABLES
from sawbill.trade.declaring.kinds import Whole, Word
from sawbill.trade.declaring.members import Group, Member, members
from sawbill.web.schemas.declared import schema_of

MOST_DAYS: Final = 3650


LINK_ASKED: Final = Group("LinkAsked", "A link that is to be made.", members(
    Member(
        "table", Word(*TABLES), "The one table that it reads; unset: the whole quote, its values and all "
        "its tables.", "cut-list",
    ),
    Member(
        "days", Whole(1, MOST_DAYS),
        "After how many days it ends; unset: when it is revoked, or its quote deleted [days].", 90,
    ),
))  # fmt: skip
LinkAskedSchema: Final = schema_of(LINK_ASKED)
