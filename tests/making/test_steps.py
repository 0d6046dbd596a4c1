"""Steps and tools: what they say of a queen bed, how time grows, what is cautioned where."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.making import cautions
from sawbill.making.job import Job
from sawbill.making.operations import areas_of
from sawbill.making.rates import Minutes, rates_with, read_time, usual_rates
from sawbill.making.steps import Step, frame_steps
from sawbill.making.steps.joining import UNDER_TOP
from sawbill.making.tools import frame_tools, together
from sawbill.making.words import drill_lines
from sawbill.registry import designs
from sawbill.testing import reading, written_options
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.fasteners import STRAP_BELOW, bolt_sizes
from sawbill.trade.frame import Bolted, Frame, HighBed
from sawbill.trade.lengths import INCH, METRE, MM, parse_length

OWN_SIZE = {"mattress": "60 in x 80 in", "mattress_allowance": "0 in", "slat_clearance": "0 in", "rail": "2x6"}


def job(frame: Frame, quantity: int = 1, **rates: Minutes) -> Job:
    return Job(frame, quantity, {part.key: part.name for part in frame.parts}, rates_with(rates), "inch")


@pytest.fixture(scope="module")
def queen() -> Frame:
    return designs()["slatted-bed"].frame(OWN_SIZE, reading())


def named(steps: tuple[Step, ...], title: str) -> Step:
    (found,) = [step for step in steps if step.title == title]
    return found


def test_the_steps_come_in_the_order_of_the_shop(queen: Frame) -> None:
    assert [step.title for step in frame_steps(job(queen))] == [
        "Measure, mark and cut", "Glue up", "Drill", "Break the edges", "Join in the shop", "Assemble", "Take apart",
    ]  # fmt: skip


def test_what_is_finished_is_sanded_and_finished_with_what_is_bought_for_it(queen: Frame) -> None:
    """Three coats of varnish, each with its time and its drying (common practice, no source)."""
    steps = frame_steps(job(replace(queen, finish="varnish"), finish=Minutes(Fraction(1), Fraction(2))))
    titles = [step.title for step in steps]
    assert titles[3:5] == ["Sand", "Finish"] and "Break the edges" not in titles
    assert "3 coats of clear finish" in named(steps, "Finish").text
    setup, drying = usual_rates()["finish_setup"].minutes, usual_rates()["finish_drying"].minutes
    area = Fraction(areas_of(queen)[1], METRE**2)
    assert named(steps, "Finish").hands_on.least == setup.least + 3 * area
    assert named(steps, "Finish").waiting == drying * 3
    tools = {tool.name for tool in frame_tools(job(queen))}
    assert {tool.name for tool in frame_tools(job(replace(queen, finish="oil")))} - tools == {
        "brush for finish", "sander or sanding block",
    }  # fmt: skip


def test_what_may_tip_over_is_tied_to_the_wall_before_it_is_used() -> None:
    frame = designs()["shelf-unit"].frame({}, reading())
    steps = frame_steps(job(frame, 3, strap=Minutes(Fraction(12), Fraction(15))))
    titles = [step.title for step in steps]
    assert titles[titles.index("Assemble") :] == ["Assemble", "Tie it to the wall", "Take apart"]
    tied = named(steps, "Tie it to the wall")
    assert "6 wall straps, one on each upright" in tied.text
    assert "no more than 2 in under its top" in tied.text
    assert (tied.hands_on, tied.cautions) == (Minutes(Fraction(72), Fraction(90)), (cautions.STRAP,))
    assert "stud finder" in [tool.name for tool in frame_tools(job(frame))]
    assert [parse_length(told) <= STRAP_BELOW for told in UNDER_TOP.values()] == [True, True]


def test_slats_are_strapped_upside_down_before_the_bed_is_put_together() -> None:
    """By hand: 14 slats of 60-7/8 in, a quarter of which is 15-3/16 in to a sixteenth; two straps, 28 screws."""
    frame = designs()["slatted-bed"].frame({"slat_retention": "strap"}, reading())
    steps = frame_steps(job(frame, 2, screw=Minutes(Fraction(1), Fraction(2))))
    titles = [step.title for step in steps]
    assert titles[titles.index("Assemble") - 1] == "Strap the slats"
    told = named(steps, "Strap the slats")
    assert "4 slat straps along them, with their middles 15 3/16 in and 45 11/16 in from one end" in told.text
    assert "2 1/16 in to 2 1/8 in apart, those in the middle side by side (each of the 2). Lay" in told.text
    assert "a wood screw #8 x 3/4 in through the strap into each slat, 28 in all" in told.text
    assert told.hands_on == Minutes(Fraction(56), Fraction(112))
    assert "fold each end under" in told.text and "melt" not in told.text
    assert "roll of slats: unroll it, straps down, and join it to left rail" in named(steps, "Assemble").text
    apart = named(steps, "Take apart").text
    assert "roll of slats: take out 8 x wood screw" in apart and "roll it up, straps inside, and lift it away" in apart
    tools = frame_tools(job(frame))
    assert "scissors" in [tool.name for tool in tools]
    assert "36 wood screws #8, to fit their heads" in [tool.use for tool in tools]


@pytest.mark.parametrize(
    ("design", "options", "headed", "capped"),
    [
        ("slatted-bed", {}, False, False),
        ("slatted-bed", {"headboard": "yes"}, False, False),
        ("bunk-bed", {}, True, False),
        ("daybed", {"rail": "2x10"}, True, True),
    ],
)
def test_it_is_told_how_round_heads_go_in_and_that_caps_go_on(
    design: str, options: dict[str, str], headed: bool, capped: bool
) -> None:
    told = named(frame_steps(job(designs()[design].frame(options, reading()))), "Assemble").text
    assert ("Knock each round-head bolt in until its head lies on the wood" in told) is headed
    assert ("into a capped nut" in told) is capped
    assert ("press the cap on over it" in told) is capped


@pytest.mark.parametrize("retention", ["blocks", "screws"])
@pytest.mark.parametrize("design", ["slatted-bed", "daybed"])
def test_a_bed_on_slats_has_nothing_to_rip(design: str, retention: str) -> None:
    frame = designs()[design].frame({"slat_retention": retention}, reading())
    assert "Rip small parts" not in [step.title for step in frame_steps(job(frame))]


def test_holes_are_told_mark_by_mark_and_those_in_a_row_together(queen: Frame) -> None:
    lines = drill_lines(job(queen))
    at = lines.index("2 x side rail, as in left rail: 4 holes each")
    assert lines[at + 1] == (
        "- 13/32 in, through, for bolts, into the left face: 3 1/4 in and 80 3/4 in from the head end, "
        "1 1/8 in from the lower edge"
    )
    assert "4 x post lamination2, as in left head post 2: 4 holes each" in lines
    assert "2 x post lamination1, as in left head post 1: 4 holes each" in lines, (
        "its end board's bolt is off the middle"
    )
    assert "12 x post lamination2, as in left head post 2: 4 holes each" in drill_lines(job(queen, 3))


@pytest.mark.parametrize(
    ("size", "across"),
    [
        ("1/4 in", 7 * INCH // 16), ("5/16 in", INCH // 2), ("3/8 in", 9 * INCH // 16), ("1/2 in", 3 * INCH // 4),
        ("M6", 10 * MM), ("M8", 13 * MM), ("M10", 16 * MM), ("M12", 18 * MM),
    ],
)  # fmt: skip
def test_wrenches_are_as_wide_as_the_standards_say(size: str, across: int) -> None:
    """ASME B18.2.1-2012 (greatest width across flats) and ISO 4014:2011, both at second hand."""
    assert bolt_sizes()[size].across_flats == across


def test_the_tools_of_a_queen_bed_hold_the_bit_the_wrench_and_the_clamps(queen: Frame) -> None:
    tools = {(tool.name, tool.size): tool.quantity for tool in frame_tools(job(queen))}
    assert tools["drill bit", "7/16 in"] == 1
    assert tools["wrench", "9/16 in across flats"] == 1
    assert tools["clamp", None] == 8, "74 in of ledger, at most 12 in apart"
    assert {"saw for cross cuts", "square", "sanding block and sandpaper", "eye protection"} <= {
        name for name, _ in tools
    }


def test_screwed_slats_take_a_pilot_bit_a_free_bit_and_a_driver() -> None:
    frame = designs()["slatted-bed"].frame({"slat_retention": "screws"}, reading())
    names = {(tool.name, tool.size) for tool in frame_tools(job(frame))}
    assert {("drill bit", "3/32 in"), ("drill bit", "11/64 in"), ("driver bit", None)} <= names


def test_a_tool_serves_every_line(queen: Frame) -> None:
    tools = frame_tools(job(queen))
    assert [(tool.name, tool.quantity) for tool in together((*tools, *tools))] == [
        (tool.name, tool.quantity) for tool in tools
    ]


def test_what_a_tool_is_for_is_counted_over_all_lines_and_told_of_the_worst(queen: Frame) -> None:
    one, two = frame_tools(job(queen)), frame_tools(job(queen, 2))
    alone, both = ({(tool.name, tool.size): tool for tool in tools} for tools in (one, together((*one, *two))))
    bolts = sum(isinstance(joint, Bolted) for joint in queen.joints)
    (wrench,) = (tool for tool in both.values() if tool.name == "wrench")
    assert wrench.use == f"{3 * bolts} hex bolts 3/8 in", "each line is counted, though it says the same as another"
    bit = both["drill bit", "7/16 in"]
    assert bit.use == f"{3 * dict(alone['drill bit', '7/16 in'].counts)['holes for tee nuts']} holes for tee nuts" + (
        "; it reaches 7/16 in"
    )
    assert both["clamp", None].use == alone["clamp", None].use, "glued faces are clamped one after another"
    assert both["hammer", None].use == alone["hammer", None].use


def test_a_batch_repeats_the_work_and_not_the_set_ups(queen: Frame) -> None:
    """By hand: 10 min for each of 8 stops, 1 min to mark and 2 to cut each of 55 parts; three beds have 165 parts."""
    rates = {"saw_setup": read_time(10), "mark": read_time(1), "cut": read_time(2)}
    one, three = (named(frame_steps(job(queen, n, **rates)), "Measure, mark and cut") for n in (1, 3))
    assert one.hands_on == read_time(80 + 165)
    assert three.hands_on == read_time(80 + 495)


def test_glue_waits_a_day_before_any_load(queen: Frame) -> None:
    glue = named(frame_steps(job(queen)), "Glue up")
    assert glue.waiting.least == 24 * 60
    assert cautions.GLUE_WAIT in glue.cautions


def test_cautions_stand_at_the_step_they_belong_to(queen: Frame) -> None:
    steps = frame_steps(job(queen))
    short = cautions.told(cautions.SHORT_PIECES, "inch")
    assert short in named(steps, "Measure, mark and cut").cautions, "the legs are 8 and 11 in"
    stops = designs()["low-platform"].frame({}, reading())
    assert cautions.told(cautions.RIPPING, "inch") in named(frame_steps(job(stops)), "Rip small parts").cautions
    assert cautions.DUST in named(steps, "Break the edges").cautions
    finished = frame_steps(job(replace(queen, finish="oil")))
    assert cautions.DUST in named(finished, "Sand").cautions
    assert cautions.FINISHING in named(finished, "Finish").cautions
    assert cautions.TIGHTEN in named(steps, "Assemble").cautions


def test_a_heavy_piece_is_lifted_in_twos(queen: Frame) -> None:
    heavy = replace(job(queen), heavy=frozenset(["left rail"]))
    for title in ("Assemble", "Take apart"):
        step = named(frame_steps(heavy), title)
        assert step.people == 2 and cautions.LIFT in step.cautions
        assert cautions.LIFT not in named(frame_steps(job(queen)), title).cautions


@pytest.mark.parametrize(("market", "age"), [("US", 6), ("EU", 6), ("AU", 9)])
def test_a_high_bed_tells_who_is_too_young_for_it(queen: Frame, market: Any, age: int) -> None:
    """16 CFR 1213; EN 747-1 at second hand; the Australian notice on AS/NZS 4220."""
    high = replace(queen, high_beds=(HighBed("mattress", market),))
    told = " ".join(named(frame_steps(job(high)), "Assemble").cautions)
    assert f"under {age} years" in told
    assert "years" not in " ".join(named(frame_steps(job(queen)), "Assemble").cautions)


@pytest.mark.parametrize("name", designs())
@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), quantity=st.integers(2, 40))
def test_every_time_is_a_range_that_grows_with_the_quantity(name: str, data: Any, quantity: int) -> None:
    try:
        frame = designs()[name].frame(data.draw(written_options(designs()[name])), reading())
    except OptionFaultsError:
        return
    one, many = frame_steps(job(frame)), frame_steps(job(frame, quantity))
    assert [step.title for step in one] == [step.title for step in many]
    for few, more in zip(one, many, strict=True):
        for time in (few.hands_on, few.waiting, more.hands_on, more.waiting):
            assert 0 <= time.least <= time.most
            assert time.whole().least <= time.whole().most
        assert few.hands_on.least < more.hands_on.least <= quantity * few.hands_on.least
        assert few.waiting.most <= more.waiting.most
    assert {key for step in many for key in step.parts} == {part.name for part in frame.parts}


def test_a_practised_pair_makes_a_queen_bed_in_about_two_hours_beside_glue_and_finish(queen: Frame) -> None:
    """Common practice, no source."""
    making = [step for step in frame_steps(job(queen)) if step.title not in ("Finish", "Take apart")]
    least, most = (sum(getattr(step.hands_on, end) for step in making) / 2 for end in ("least", "most"))
    assert least < 2 * 60 < most
    assert least > 60 and most < 4 * 60


def test_nothing_takes_longer_to_take_out_than_to_put_in() -> None:
    rates = usual_rates()
    for out, put in (("unbolt", "bolt"), ("unscrew", "screw")):
        assert rates[out].minutes.least <= rates[put].minutes.least
        assert rates[out].minutes.most <= rates[put].minutes.most
