"""What every design must pass, ours and anybody's: `check_design(design)` in a test is all it takes.

Needs hypothesis, which the service itself does not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Any

from sawbill.checks.bolt_ends import bolt_end_faults
from sawbill.checks.joinery import joinery_faults
from sawbill.trade import lumber, mattresses, option
from sawbill.trade.boxes import meetings
from sawbill.trade.declaring.reading import Reading
from sawbill.trade.design import Design, OptionFaultsError
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import INCH, MM, System

if TYPE_CHECKING:
    from hypothesis.strategies import SearchStrategy

USUAL: dict[System, str] = {"inch": "2x4", "metric": "45x95"}


def reading(system: System = "inch", step: int | None = None) -> Reading:
    """What options are read against when no price book is at hand: every known section, 2x4 or 45x95 as usual."""
    return Reading(system, lambda role: USUAL[system], step=step)


def frame_faults(frame: Frame) -> list[str]:
    """Everything that is wrong with a frame as a thing of wood: empty when it can be built and taken apart."""
    return [
        *_part_faults(frame), *joinery_faults(frame), *bolt_end_faults(frame), *_carrying_faults(frame),
        *_sleeping_faults(frame),
    ]  # fmt: skip


def written_options(design: Design, system: System = "inch") -> SearchStrategy[dict[str, Any]]:
    """Sample the options of a design as a caller would write them, the bounds of every range among them."""
    from hypothesis import strategies as st

    names = sorted(lumber.sections())
    step = INCH // 16 if system == "inch" else MM

    def lengths(declared: option.Length | option.Lengths) -> SearchStrategy[Any]:
        bounds = st.sampled_from([declared.least, declared.most])
        first, last = -(-declared.least // step), declared.most // step
        inside = st.integers(first, last).map(lambda n: n * step) if first <= last else bounds
        return st.one_of(bounds, inside).map(exact)

    kinds: dict[str, Callable[[Any], SearchStrategy[Any]]] = {
        "length": lengths,
        "lengths": lambda declared: st.lists(lengths(declared), max_size=declared.many).map("; ".join),
        "count": lambda declared: st.integers(declared.least, declared.most),
        "choice": lambda declared: st.sampled_from(declared.choices),
        "flag": lambda declared: st.booleans(),
        "section": lambda declared: st.sampled_from(names),
        "mattress": lambda declared: st.one_of(
            st.sampled_from(sorted(mattresses.mattress_sizes())), _measured(declared, step)
        ),
    }
    return st.fixed_dictionaries({}, optional={o.name: kinds[o.kind](o) for o in design.options})


def check_design(design: Design, examples: int = 60, *, whole: bool = True) -> None:
    """Hold a design to what the service promises of every design, over its whole option space.

    Its declaration is complete, with a help for every option and its references. For sampled options, and for
    every listed mattress and section, every choice and every bound by itself, the frame builds or one of its
    options is refused in words; no two parts share space, joints touch, bolts pass through what they join and
    nothing else, and end where nobody lies or climbs, pieces carry whole, mattresses have their room; and the same
    options give the same frame. It does not refuse everything. Where not the whole is asked for, a value by itself is
    tried in one system of measures and not in both, a bound of a length in both, and of sections the narrowest
    and the widest of each thickness.

    Raises AssertionError: with the options and everything that is wrong with their frame.
    """
    from hypothesis import HealthCheck, given, settings
    from hypothesis import strategies as st

    assert not design.faults(), f"{design.name}: {design.faults()}"
    names = {option.name for option in design.options}
    built: set[System] = set()

    def check(written: dict[str, Any], system: System) -> Frame | None:
        try:
            frame = design.frame(written, reading(system))
        except OptionFaultsError as error:
            misread = [fault for fault in error.faults if fault.code != "refused"]
            assert not misread, f"{design.name} with {written}: {error}"
            for fault in error.faults:
                assert fault.option in names, f"{design.name} with {written} refuses {fault.option}, not one it has"
                assert fault.message.strip(), f"{design.name} with {written} refuses {fault.option} without a word"
            return None
        built.add(system)
        assert not (faults := frame_faults(frame)), f"{design.name} with {written}: {faults}"
        return frame

    def check_twice(written: dict[str, Any], system: System) -> None:
        if (frame := check(written, system)) is not None:
            assert frame == design.frame(written, reading(system)), f"{design.name} with {written} is not repeatable"

    for system in ("inch", "metric"):
        for written in _one_by_one(design, system, whole=whole):
            check(written, system)

        sampled = settings(
            max_examples=examples, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
        )
        sampled(given(written_options(design, system), st.just(system))(check_twice))()
        assert system in built, f"{design.name} refuses everything a shop that measures in {system} may ask for"


def exact(nm: int) -> str:
    """Write a length [nm] so that it reads back as the same."""
    return f"{nm // MM}.{nm % MM:06d} mm"


def _measured(declared: option.Mattress, step: int) -> SearchStrategy[Any]:
    from hypothesis import strategies as st

    def side(bounds: tuple[int, int]) -> SearchStrategy[str]:
        return st.integers(-(-bounds[0] // step), bounds[1] // step).map(lambda n: exact(n * step))

    sides = {"width": side(declared.WIDTH), "length": side(declared.LENGTH)}
    return st.fixed_dictionaries(sides, optional={"thickness": side(declared.THICKNESS)})


def _one_by_one(design: Design, system: System, *, whole: bool) -> Iterator[dict[str, Any]]:
    """The defaults, then values of every option alone."""
    yield {}
    for declared in design.options:
        if isinstance(declared, option.Section):
            values: list[Any] = _sections(system, whole=whole)
        else:
            values = _values(declared)
            bounds = isinstance(declared, option.Length | option.Lengths)  # which are read to the step of a system
            values = values if whole or bounds else values[system == "metric" :: 2]
        yield from ({declared.name: value} for value in values)


def _values(declared: option.Option) -> list[Any]:
    """Every listed value of an option, and the bounds of a range."""
    if isinstance(declared, option.Mattress):
        return sorted(mattresses.mattress_sizes())
    if isinstance(declared, option.Choice):
        return list(declared.choices)
    if isinstance(declared, option.Count):
        return [declared.least, declared.most]
    if isinstance(declared, option.Length | option.Lengths):
        return [exact(declared.least), exact(declared.most)]
    return [True, False] if isinstance(declared, option.Flag) else []


def _sections(system: System, *, whole: bool) -> list[str]:
    """Sections as such a shop buys them, by size; not the whole: the narrowest and the widest of each thickness."""
    sold = [each for each in lumber.sections().values() if each.family.startswith("inch") == (system == "inch")]
    sold.sort(key=lambda section: (section.thickness, section.width, section.name))
    if whole:
        return [section.name for section in sold]
    alike = [[*group] for _, group in groupby(sold, key=lambda section: section.thickness)]
    return [section.name for group in alike for section in dict.fromkeys((group[0], group[-1]))]


def _part_faults(frame: Frame) -> Iterator[str]:
    keys = [part.key for part in frame.parts]
    yield from (f"two parts are called {key}" for key in sorted({key for key in keys if keys.count(key) > 1}))
    for part in frame.parts:
        if min(part.box.size) <= 0:
            yield f"{part.key} has no extent: {part.box.size}"
        if part.ripped is not None and part.ripped > part.section.width:
            yield f"{part.key} is ripped wider than its section"
    boxes = [part.box for part in frame.parts]
    for i, places in enumerate(meetings(boxes, boxes)):
        for one, other in ((frame.parts[i].key, frame.parts[j].key) for j in places if i < j):
            if (one, other) not in frame.housings and (other, one) not in frame.housings:
                yield f"{one} and {other} claim the same space"
    if frame.bounds.low[2] < 0:
        yield "it reaches below the floor"


def _carrying_faults(frame: Frame) -> Iterator[str]:
    carried = [key for piece in frame.carried_pieces for key in piece.parts]
    yield from (f"{key} is carried twice" for key in sorted({k for k in carried if carried.count(k) > 1}))
    yield from (f"{key} is carried with no piece" for key in frame.by_key if key not in carried)
    yield from (f"a carried piece names {key}, which is no part" for key in carried if key not in frame.by_key)
    straps = [strap.part for strap in frame.straps]
    yield from (f"a strap is fixed to {key}, which is no part" for key in straps if key not in frame.by_key)


def _sleeping_faults(frame: Frame) -> Iterator[str]:
    for place in frame.sleeping_places:
        length, width, _ = place.opening.size
        if width < place.mattress.width or length < place.mattress.length:
            yield f"the {place.name} is larger than its opening"
        for key, box in frame.boxes.items():
            if box.overlaps(place.opening):
                yield f"{key} stands in the room of the {place.name}"
        spans = [frame.boxes[key].span("x") for key in place.slats]
        for key, (_, end), (start, _) in zip(place.slats, spans, spans[1:], strict=False):
            if start - end > place.widest_gap:
                yield f"the gap after {key} is wider than asked"
        for key in place.slats:
            if frame.boxes[key].high[2] != place.opening.low[2]:
                yield f"{key} does not carry the {place.name}"
