"""Option kinds: what each reads, what each refuses and how it says so, and that its schema agrees."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.trade import lumber
from sawbill.trade.declaring.reading import OptionError, Reading
from sawbill.trade.declaring.shown import lengths_out, show
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.mattresses import mattress_sizes
from sawbill.trade.option import Choice, Count, Flag, Length, Lengths, Mattress, Option, Section

INCHES = Reading("inch", lambda role: {"rail": "2x6"}.get(role, "2x4"))
METRIC = Reading("metric", lambda role: "45x95")

GAP = Length("gap", "A gap.", default=3 * INCH, metric_default=75 * MM, least=INCH // 2, most=4 * INCH)
SHELVES = Lengths("shelves", "Heights.", least=2 * INCH, most=60 * INCH, many=3)
ROWS = Count("rows", "Rows.", default=2, least=1, most=5)
END = Choice("end", "An end.", choices=("none", "board", "board and leg"), default="none", metric_default="board")
HEAD = Flag("head", "A head.", default=True)
RAIL = Section("rail", "A rail.", role="rail")
BED = Mattress("bed", "A mattress.", default="queen", metric_default="eu-140")
KINDS: list[Option] = [GAP, SHELVES, ROWS, END, HEAD, RAIL, BED]
BY_NAME = {option.name: option for option in KINDS}

QUEEN = {"width": "60 in", "length": "80 in"}


def sides(mattress: Any) -> tuple[int, int, int]:
    return mattress.width, mattress.length, mattress.thickness


# ---- reading


@pytest.mark.parametrize(
    ("option", "raw", "value"),
    [
        (GAP, "1/2 in", INCH // 2),
        (GAP, "4 in", 4 * INCH),
        (GAP, "50.8 mm", 2 * INCH),
        (SHELVES, "15 in; 1 ft; 304.8 mm", (15 * INCH, 12 * INCH, 12 * INCH)),
        (SHELVES, "2 in", (2 * INCH,)),
        (SHELVES, " ", ()),
        (ROWS, 1, 1),
        (ROWS, 5, 5),
        (ROWS, "5", 5),
        (ROWS, "05", 5),
        (END, "board and leg", "board and leg"),
        (END, " none ", "none"),
        (HEAD, True, True),
        (HEAD, False, False),
        (HEAD, "yes", True),
        (HEAD, "No", False),
        (HEAD, " TRUE ", True),
        (HEAD, "false", False),
        (RAIL, "2x4", lumber.section("2x4")),
        (RAIL, "2 X 10", lumber.section("2x10")),
        (RAIL, "45x95", lumber.section("45x95")),
    ],
)
def test_a_written_value_is_read(option: Option, raw: object, value: object) -> None:
    assert option.read(raw, INCHES) == value


@pytest.mark.parametrize(
    ("raw", "expected"),
    [
        pytest.param("queen", (60, 80, 10), id="a listed size"),
        pytest.param("Queen", (60, 80, 10), id="in another case"),
        pytest.param("queen x 12 in", (60, 80, 12), id="with its thickness"),
        pytest.param({"size": "queen"}, (60, 80, 10), id="as an object"),
        pytest.param({"size": "queen", "thickness": "12 in"}, (60, 80, 12), id="as an object with its thickness"),
        pytest.param("60 in x 80 in", (60, 80, 10), id="measured sides"),
        pytest.param("80 in x 60 in", (60, 80, 10), id="the shorter side is the width"),
        pytest.param("60 in x 80 in x 12 in", (60, 80, 12), id="measured sides and thickness"),
        pytest.param("60 in × 1828.8 mm × 12 in", (60, 72, 12), id="with the times sign, in both systems"),  # noqa: RUF001
        pytest.param({**QUEEN, "thickness": "12 in"}, (60, 80, 12), id="measured, as an object"),
        pytest.param({"width": "80 in", "length": "60 in"}, (80, 60, 10), id="an object is taken as given"),
    ],
)
def test_a_mattress_is_read_in_each_of_its_forms(raw: object, expected: tuple[int, int, int]) -> None:
    assert sides(BED.read(raw, INCHES)) == tuple(n * INCH for n in expected)


def test_a_listed_mattress_has_its_tolerance_and_a_measured_one_has_none() -> None:
    assert BED.read("queen", INCHES).tolerance == INCH // 2
    assert BED.read("60 in x 80 in", INCHES).tolerance == 0


@pytest.mark.parametrize("name", sorted(mattress_sizes()))
def test_every_listed_mattress_may_be_asked_for(name: str) -> None:
    size = mattress_sizes()[name]
    for raw in (name, {"size": name}):
        assert sides(BED.read(raw, METRIC)) == (size.width, size.length, 250 * MM)


def test_a_mattress_of_unknown_thickness_has_the_usual_one_of_the_system() -> None:
    assert BED.read("queen", INCHES).thickness == 10 * INCH
    assert BED.read("queen", METRIC).thickness == 250 * MM


# ---- refusing


@pytest.mark.parametrize(
    ("option", "raw", "code", "says"),
    [
        (GAP, "0.49999 in", "out-of-range", "gap is 0.49999 in; it may be 1/2 in to 4 in"),
        (GAP, "101.600001 mm", "out-of-range", "it may be 1/2 in to 4 in"),
        (GAP, "1 km", "out-of-range", "gap is 1 km; it may be 1/2 in to 4 in"),
        (GAP, "3", "not-a-length", 'gap is "3": it has no unit'),
        (GAP, 3, "not-a-length", "gap is 3; a length is text with its unit, such as 8 in"),
        (GAP, None, "not-a-length", "gap is null"),
        (GAP, True, "not-a-length", "gap is true"),
        (GAP, ["3 in"], "not-a-length", "gap is a list"),
        (GAP, {"mm": 3}, "not-a-length", "gap is an object"),
        (GAP, "-1 in", "not-a-length", "negative"),
        (GAP, "1,5 in", "not-a-length", "a comma cannot stand in a length"),
        (SHELVES, "15", "not-a-length", 'shelves is "15": it has no unit'),
        (SHELVES, "15 in;", "not-a-length", 'shelves is ""'),
        (SHELVES, "15 in, 12 in", "not-a-length", "15 in, 12 in"),
        (SHELVES, "15 in; 61 in", "out-of-range", "shelves names 61 in; each may be 2 in to 60 in"),
        (SHELVES, "9 in; 9 in; 9 in; 9 in", "too-many", "shelves names 4 lengths; it may name 3 at most"),
        (SHELVES, ["15 in"], "not-lengths", "shelves is a list; write lengths with semicolons between"),
        (SHELVES, "9 in;" * 500, "not-lengths", "semicolons"),
        (SHELVES, None, "not-lengths", "shelves is null"),
        (ROWS, 0, "out-of-range", "rows is 0; it may be 1 to 5"),
        (ROWS, 6, "out-of-range", "rows is 6; it may be 1 to 5"),
        (ROWS, 10**400, "out-of-range", "it may be 1 to 5"),
        (ROWS, "999999999", "out-of-range", "it may be 1 to 5"),
        (ROWS, 2.0, "not-a-count", "rows is 2.0; it must be a whole number"),
        (ROWS, True, "not-a-count", "rows is true"),
        (ROWS, "two", "not-a-count", 'rows is "two"'),
        (ROWS, "-1", "not-a-count", "whole number"),
        (ROWS, "٣", "not-a-count", "whole number"),
        (ROWS, "9" * 5000, "not-a-count", "whole number"),
        (ROWS, None, "not-a-count", "null"),
        (END, "leg", "not-a-choice", 'end is "leg"; it may be none, board or board and leg'),
        (END, "nonne", "not-a-choice", "it may be none"),
        (END, 1, "not-a-choice", "end is 1"),
        (HEAD, "maybe", "not-a-flag", 'head is "maybe"; it may be yes or no'),
        (HEAD, 1, "not-a-flag", "head is 1"),
        (HEAD, None, "not-a-flag", "head is null"),
        (RAIL, "2x5000", "unknown-section", "rail: there is no section '2x5000'"),
        (RAIL, 24, "unknown-section", "rail is 24; name a section such as 2x4 or 45x95"),
        (RAIL, "2x4" * 100, "unknown-section", "name a section"),
        (BED, "emperor", "unknown-mattress", "bed: there is no mattress size 'emperor'"),
        (BED, {"size": "emperor"}, "unknown-mattress", "emperor"),
        (BED, "queen x 12 in x 3 in", "not-a-mattress", "queen x 12 in"),
        (BED, "60 in", "not-a-mattress", "measured sides are written 60 in x 80 in"),
        (BED, "60 in x 80 in x 10 in x 2 in", "not-a-mattress", "60 in x 80 in x 10 in"),
        (BED, 60, "not-a-mattress", "bed is 60"),
        (BED, None, "not-a-mattress", "bed is null"),
        (BED, {}, "not-a-mattress", "bed is an object"),
        (BED, {"width": "60 in"}, "not-a-mattress", "with width and length"),
        (BED, {"thickness": "10 in"}, "not-a-mattress", "with size or with width and length"),
        (BED, {**QUEEN, "size": "queen"}, "not-a-mattress", "object"),
        (BED, {**QUEEN, "depth": "1 in"}, "not-a-mattress", "object"),
        (BED, "queen" * 100, "not-a-mattress", "listed size"),
        (BED, "60 x 80", "not-a-length", "no unit"),
        (BED, "", "unknown-mattress", "mattress size"),
    ],
)
def test_a_value_that_cannot_be_is_refused_with_its_code_and_what_would_be_right(
    option: Option, raw: object, code: str, says: str
) -> None:
    with pytest.raises(OptionError) as caught:
        option.read(raw, INCHES)
    assert (caught.value.code, caught.value.within) == (code, None)
    assert says in str(caught.value)
    assert str(caught.value).startswith(option.name)
    assert len(str(caught.value)) < 400


@pytest.mark.parametrize(
    ("raw", "code", "within"),
    [
        ({**QUEEN, "width": "17.99999 in"}, "out-of-range", "width"),
        ({**QUEEN, "width": "90.00001 in"}, "out-of-range", "width"),
        ({**QUEEN, "length": "35.99999 in"}, "out-of-range", "length"),
        ({**QUEEN, "length": "1 km"}, "out-of-range", "length"),
        ({**QUEEN, "thickness": "1 mm"}, "out-of-range", "thickness"),
        ({**QUEEN, "thickness": None}, "not-a-length", "thickness"),
        ({"size": "queen", "thickness": "25 in"}, "out-of-range", "thickness"),
        ({**QUEEN, "width": "60"}, "not-a-length", "width"),
        ({**QUEEN, "length": 80}, "not-a-length", "length"),
        ("1 mm x 80 in", "out-of-range", "width"),
        ("queen x 12", "not-a-length", "thickness"),
    ],
)
def test_a_faulty_side_of_a_mattress_is_named(raw: object, code: str, within: str) -> None:
    with pytest.raises(OptionError) as caught:
        BED.read(raw, INCHES)
    assert (caught.value.code, caught.value.within) == (code, within)


@pytest.mark.parametrize(
    ("side", "bounds"), [("width", Mattress.WIDTH), ("length", Mattress.LENGTH), ("thickness", Mattress.THICKNESS)]
)
def test_a_side_of_a_mattress_may_be_at_its_bounds(side: str, bounds: tuple[int, int]) -> None:
    for nm in bounds:
        text = f"{Decimal(nm) / MM} mm"
        assert getattr(BED.read({**QUEEN, side: text}, INCHES), side) == nm


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30),
    lambda inner: (
        st.lists(inner, max_size=2) | st.dictionaries(st.sampled_from(["size", "width", "length", "x"]), inner)
    ),
    max_leaves=4,
)


@given(st.sampled_from(KINDS), anything)
def test_whatever_is_written_is_read_or_refused_in_printable_words(option: Option, raw: object) -> None:
    try:
        option.read(raw, METRIC)
    except OptionError as error:
        assert str(error).isprintable()
        assert error.code


mattress_texts = st.lists(
    st.sampled_from(["queen", "twin", "60 in", "80 in", "12 in", "x", " x ", "×", "", "1500 mm", "5"]),  # noqa: RUF001
    max_size=7,
).map("".join)


@given(mattress_texts)
def test_whatever_is_made_of_sides_and_times_signs_is_a_mattress_or_refused(text: str) -> None:
    try:
        mattress = BED.read(text, INCHES)
    except OptionError:
        return
    assert Mattress.WIDTH[0] <= mattress.width <= Mattress.WIDTH[1]
    assert Mattress.THICKNESS[0] <= mattress.thickness <= Mattress.THICKNESS[1]


@pytest.mark.parametrize(
    ("raw", "step", "up", "down"),
    [
        pytest.param("50 mm", INCH // 16, INCH * 2, INCH * 31 // 16, id="to the next sixteenth"),
        pytest.param("50 mm", INCH // 32, INCH * 63 // 32, INCH * 63 // 32 - INCH // 32, id="and thirty-second"),
        pytest.param("50 mm", 3_175_001, INCH * 2, INCH * 31 // 16, id="a coarser step is for cutting alone"),
        pytest.param("1/2 in", 3 * MM // 10, 12_900_000, 12_900_000, id="never out of the range"),
        pytest.param("4 in", 3 * MM // 10, 101_400_000, 101_400_000, id="at its other end"),
    ],
)
def test_a_length_is_set_to_the_step_the_safe_way(raw: str, step: int, up: int, down: int) -> None:
    shop = replace(INCHES, step=step)
    assert (GAP.read(raw, shop), replace(GAP, rounding="down").read(raw, shop)) == (up, down)


# ---- what is unset


@pytest.mark.parametrize(
    ("option", "inch", "metric"),
    [
        (GAP, 3 * INCH, 75 * MM),
        (replace(GAP, metric_default=None), 3 * INCH, 77 * MM),
        (ROWS, 2, 2),
        (END, "none", "board"),
        (HEAD, True, True),
        (RAIL, lumber.section("2x6"), lumber.section("45x95")),
    ],
)
def test_an_unset_option_has_the_default_of_the_system(option: Option, inch: object, metric: object) -> None:
    assert (option.start(INCHES), option.start(METRIC)) == (inch, metric)


def test_an_unset_mattress_is_the_default_of_the_system() -> None:
    assert (BED.start(INCHES).name, BED.start(METRIC).name) == ("queen", "eu-140")


def test_a_section_is_the_one_the_shop_measures() -> None:
    planed = replace(lumber.section("2x4"), thickness=36 * MM)
    shop = Reading("inch", lambda role: "2x4", lambda name: planed)
    assert RAIL.start(shop) is RAIL.read("2x4", shop) is planed


# ---- schema and catalogue


def is_allowed(option: Option, raw: object) -> bool:
    return jsonschema.Draft202012Validator(option.schema()).is_valid(raw)


@pytest.mark.parametrize("option", KINDS, ids=lambda option: option.kind)
def test_a_schema_is_itself_valid(option: Option) -> None:
    jsonschema.Draft202012Validator.check_schema(option.schema())


GOOD = [
    *((GAP, raw) for raw in ("1/2 in", "4 in", "50 mm", "3-1/2\"")),
    *((ROWS, raw) for raw in (1, 5, "1", "5")),
    *((END, raw) for raw in END.choices),
    *((HEAD, raw) for raw in (True, False, "yes", "no", "true", "false")),
    *((RAIL, raw) for raw in sorted(lumber.sections())),
    *((BED, raw) for name in sorted(mattress_sizes()) for raw in (name, {"size": name})),
    *((BED, raw) for raw in ("60 in x 80 in", "60 in x 80 in x 12 in", "queen x 12 in", QUEEN)),
    *((BED, {**raw, "thickness": "9 in"}) for raw in ({"size": "queen"}, QUEEN)),
]  # fmt: skip


def test_a_schema_allows_what_is_read() -> None:
    for option, raw in GOOD:
        option.read(raw, INCHES)
        assert is_allowed(option, raw), (option.name, raw)


@given(st.sampled_from(KINDS), anything)
def test_a_schema_refuses_only_what_cannot_be_read(option: Option, raw: object) -> None:
    if is_allowed(option, raw) or isinstance(raw, float):
        return
    if isinstance(raw, str) and option.kind in ("flag", "choice"):
        return  # words are read in any case and with spaces about them, and shown as they are best written
    with pytest.raises(OptionError):
        option.read(raw, INCHES)


@pytest.mark.parametrize(
    ("option", "raw"),
    [
        *((GAP, raw) for raw in (3, None, True, [], "3" * 33)),
        *((ROWS, raw) for raw in (0, 6, True, "two", None, 2.5)),
        *((END, raw) for raw in ("leg", 1, None)),
        *((HEAD, raw) for raw in ("maybe", 1, None)),
        *((RAIL, raw) for raw in (24, None, "2" * 101)),
        *((BED, raw) for raw in (60, None, {}, {"size": "emperor"}, {"width": "60 in"}, {**QUEEN, "size": "queen"})),
    ],
)
def test_a_schema_refuses_what_is_plainly_wrong(option: Option, raw: object) -> None:
    assert not is_allowed(option, raw)


@given(st.integers(0, 100 * MM), st.integers(0, 100 * MM), st.sampled_from([INCHES, METRIC]))
def test_the_bounds_a_message_names_may_be_asked_for(one: int, other: int, system: Reading) -> None:
    least, most = sorted((one, other))
    declared = Length("n", "A length.", default=least, least=least, most=most)
    for text in declared.range_text(system.system).split(" to ") if most - least >= INCH else ():
        assert least <= declared.read(text, system) <= most


@pytest.mark.parametrize("system", [INCHES, METRIC], ids=["inch", "metric"])
def test_the_catalogue_gives_unit_bounds_and_default_that_can_be_asked_for(system: Reading) -> None:
    told = {option.name: option.describe(system) for option in KINDS}
    assert all(each["unit"] for each in told.values())
    for key in ("least", "most", "default"):
        assert GAP.least <= GAP.read(told["gap"][key]["text"], system) <= GAP.most
    assert (told["rows"]["least"], told["rows"]["most"], told["rows"]["default"]) == (1, 5, 2)
    for name in ("rows", "end", "head", "rail", "bed"):
        assert BY_NAME[name].read(told[name]["default"], system) == BY_NAME[name].start(system)
    assert told["end"]["choices"] == list(END.choices)
    assert told["bed"]["choices"] == sorted(mattress_sizes())
    for side, bounds in told["bed"]["measured"].items():
        for bound in bounds.values():
            assert getattr(BED.read({**QUEEN, side: bound["text"]}, system), side) == bound["mm"] * MM


def test_a_length_leaves_as_millimetres_and_text() -> None:
    assert lengths_out("inch")(84 * INCH) == {"mm": 2133.6, "text": "84 in"}
    assert lengths_out("metric")(84 * INCH) == {"mm": 2133.6, "text": "2134 mm"}


@pytest.mark.parametrize(
    ("raw", "shown"),
    [
        ("8 in", '"8 in"'),
        ("x" * 41, '"' + "x" * 40 + '…"'),
        ("a\x00b\x1b", '"a\ufffdb\ufffd"'),
        (None, "null"),
        (True, "true"),
        (False, "false"),
        (1.5, "1.5"),
        ([1], "a list"),
        ({"a": 1}, "an object"),
    ],
)
def test_a_value_is_repeated_short_and_printable(raw: object, shown: str) -> None:
    assert show(raw) == shown
