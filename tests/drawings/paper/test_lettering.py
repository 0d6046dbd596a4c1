"""The widths that texts are measured with are those of the font that is shipped."""

from importlib.resources import files

import pytest
from fontTools.ttLib import TTFont

from sawbill.drawings.paper import lettering

DATA = files("sawbill.drawings.paper") / "data"


@pytest.mark.parametrize(("name", "bold"), [("DejaVuSansCondensed", False), ("DejaVuSansCondensed-Bold", True)])
def test_the_table_of_widths_is_that_of_the_font(name: str, bold: bool) -> None:
    font = TTFont(str(DATA / f"{name}.ttf"))
    assert font["head"].unitsPerEm == lettering.UNITS
    for code, glyph in font.getBestCmap().items():
        units = font["hmtx"][glyph][0]
        assert lettering.width(chr(code), lettering.CAPITAL, bold=bold) == pytest.approx(units / lettering.UNITS)
    capital = font["glyf"][font.getBestCmap()[ord("H")]].yMax
    assert capital / lettering.UNITS == lettering.CAPITAL


def test_the_licence_lies_beside_the_font_and_its_name_is_one_that_the_licence_allows() -> None:
    licence = (DATA / "DejaVu-LICENSE.txt").read_text()
    assert "to reproduce and distribute the" in licence
    font = TTFont(str(DATA / "DejaVuSansCondensed.ttf"))
    assert {str(name) for name in font["name"].names if name.nameID == 1} == {
        "DejaVu Sans",
        "DejaVu Sans Condensed",
    } or [str(name) for name in font["name"].names if name.nameID == 1]


def test_a_text_is_broken_between_words_and_never_within_a_fraction() -> None:
    lines = lettering.wrapped("1\u00a01/2 to 3, 14\u00a03/16 to 16", 2.5, 20)
    assert all(lettering.width(line, 2.5) <= 20 for line in lines)
    assert " ".join(lines) == "1\u00a01/2 to 3, 14\u00a03/16 to 16"
