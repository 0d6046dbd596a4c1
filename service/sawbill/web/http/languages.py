"""The language of a page: the best that its reader accepts, of those that pages can be had in.

Pages are written in English. Another language is a catalogue of their words, as Python's gettext reads it: a file
`LC_MESSAGES/pages.mo` in a folder of its name below `FOLDER`. DEVELOPERS.md tells how one is made.
"""

from __future__ import annotations

from functools import cache
from gettext import GNUTranslations, NullTranslations
from pathlib import Path
from typing import Final

from flask import request

ENGLISH: Final = "en"
FOLDER: Final = Path(__file__).resolve().parent.parent / "languages"
_CATALOGUE: Final = "LC_MESSAGES/pages.mo"


def message(text: str) -> str:
    """Mark words that a page translates where it shows them, so that they come into its catalogue."""
    return text


@cache
def offered() -> dict[str, Path]:
    """The catalogue of each language beside English, by its tag (RFC 5646): `pt-BR` for the folder `pt_BR`."""
    found = sorted(FOLDER.glob(f"*/{_CATALOGUE}"))
    return {path.parent.parent.name.replace("_", "-"): path for path in found}


def accepted() -> str:
    """The language that the request at hand accepts best (RFC 9110, section 12.5.4); English where it is none."""
    return request.accept_languages.best_match((ENGLISH, *offered()), ENGLISH)


def catalogue(language: str) -> NullTranslations:
    """Read the words of a language; those that it lacks stay English."""
    if language not in offered():
        return NullTranslations()
    with offered()[language].open("rb") as file:
        return GNUTranslations(file)
