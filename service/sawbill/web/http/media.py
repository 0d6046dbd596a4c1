"""The forms that answers come in: each by a suffix, or by the header Accept, which a suffix outdoes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from flask import request

from sawbill.web.http.problems import Problem


@dataclass(frozen=True, slots=True)
class Media:
    """A form: the suffix of its addresses, its media type, its parameter of that type if any."""

    suffix: str
    type: str
    charset: str = "; charset=utf-8"
    described: str = ""

    @property
    def content_type(self) -> str:
        """What the header Content-Type says."""
        return self.type + self.charset


JSON: Final = Media("json", "application/json")
CSV: Final = Media("csv", "text/csv", "; charset=utf-8; header=present", "RFC 4180: UTF-8, the column names first.")
XLSX: Final = Media(
    # As its standard registers it (ISO/IEC 29500, IANA).
    "xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "", "A workbook, ISO/IEC 29500.",
)  # fmt: skip
TXT: Final = Media("txt", "text/plain", described="Plain text in UTF-8.")
HTML: Final = Media("html", "text/html", described="A page, to read and to print.")
TEXTS: Final = ("+xml", "json")
"""How the media types of texts end that do not begin with text/."""
TABLE_FORMS: Final = (JSON, CSV, XLSX, TXT, HTML)
"""The forms that any table is to be had in."""


def accepted(offered: Sequence[Media], otherwise: str = ", or end the address in its suffix") -> Media:
    """Choose the form that the request at hand accepts best; of equals the first.

    otherwise: what else would do. Raises Problem: it accepts none.
    """
    asked = list(request.accept_mimetypes)
    if not asked:
        return offered[0]
    best = max(offered, key=lambda media: quality(media.type, asked))
    if quality(best.type, asked) <= 0:
        known = ", ".join(f"{media.type} (.{media.suffix})" for media in offered)
        raise Problem("not-acceptable", f"this comes as {known}; accept one of them{otherwise}")
    return best


def quality(media_type: str, asked: Iterable[tuple[str, float]]) -> float:
    """How well a type is accepted, 0 to 1: what fits it most closely decides (RFC 9110, section 12.5.1)."""
    found = (-1, 0.0)
    for text, q in asked:
        wanted = text.partition(";")[0].strip().lower()
        closeness = (media_type.partition("/")[0] + "/*", media_type)
        rank = 0 if wanted in ("*/*", "*") else closeness.index(wanted) + 1 if wanted in closeness else -1
        if rank > found[0]:
            found = rank, q
    return found[1]


def content(offered: Iterable[Media], schema: Any) -> dict[str, Any]:
    """Describe an answer in each of these forms; schema: of its JSON."""
    return {media.type: {"schema": schema if media is JSON else body(media.type, media.described)} for media in offered}


def body(media_type: str, description: str) -> dict[str, Any]:
    """Describe a body that is no JSON: as text, or else as binary, which its format says too."""
    text = media_type.startswith("text/") or media_type.endswith(TEXTS)
    form = {} if text else {"format": "binary"}
    return {"type": "string", **form, "description": description, "contentMediaType": media_type}
