"""Addresses that others would take for their own: `/v1/quotes/ID.json` is not the quote called `ID.json`."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from werkzeug.routing import BaseConverter, Rule

ENDINGS: Final[Mapping[str, tuple[str, ...]]] = {
    "/v1/quotes/<quote_id>": (".json", ".html", ".xlsx", ".txt"),
    "/v1/quotes/<quote_id>/<table>": ("requote",),
    "/v1/price-books/<name>": (".json", ".xlsx", ".zip"),
}
"""How the last part of an address may not end, for what ends so is another, with methods of its own."""


class AddressRule(Rule):
    """A rule that leaves to others what is theirs."""

    def get_converter(self, variable_name: str, *described: Any) -> BaseConverter:
        """Give what a part of the path is matched by."""
        found = super().get_converter(variable_name, *described)
        if self.rule in ENDINGS and self.rule.endswith(f"<{variable_name}>"):
            found.regex = rf"(?!.*(?:{'|'.join(map(re.escape, ENDINGS[self.rule]))})$){found.regex}"
        return found
