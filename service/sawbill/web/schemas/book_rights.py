"""What the owner of a price book may ask for: to let others use it, to give it away."""

from __future__ import annotations

from typing import Final

from sawbill.store import RIGHTS
from sawbill.trade.declaring.kinds import Text, Word
from sawbill.trade.declaring.members import Group, Member, members
from sawbill.web.schemas.declared import schema_of

GRANT_ASKED: Final = Group("GrantAsked", "What others are to be let do.", members(
    Member("may", Word(*RIGHTS), "What they may do: read it, or write it too.", "read", required=True),
))  # fmt: skip
OWNER_ASKED: Final = Group("OwnerAsked", "To whom a price book is to be given.", members(
    Member("owner", Text(63, least=1), "The owner of a token, by name.", "ben", required=True),
))  # fmt: skip
GrantAskedSchema: Final = schema_of(GRANT_ASKED)
OwnerAskedSchema: Final = schema_of(OWNER_ASKED)
