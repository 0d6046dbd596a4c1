"""A frame as data, rebuilt from what is sent: the same boxes, the same joints, and every letter of the cut list."""

import pytest

from sawbill.making.operations import operations
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.frame import Bolted, Frame, Glued, Housed, Hung, Part, Placement, Resting, Screwed
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import sections


def rebuilt(placed, cut_list):
    """A frame from its JSON and the sections of the cut list alone."""
    cuts = {row["part"]: row for row in cut_list}
    parts = []
    for each in placed["parts"]:
        row = cuts[each["letter"]]
        corner, size = point(each["corner"]), dict(zip("xyz", point(each["size"]), strict=True))
        ripped = None if row["ripped"] is None else size[each["across"]]
        parts.append(Part(
            each["part"], row["name"], sections()[row["section"]], size[each["along"]],
            Placement(corner, each["along"], each["across"]), ripped,
        ))  # fmt: skip
    return Frame(tuple(parts), tuple(map(joint, placed["joints"])))


def joint(row):
    parts = tuple(row["parts"])
    if row["kind"] == "bolted":
        return Bolted(parts, row["size"], point(row["head"]), row["axis"], row["toward"], row["end"],
                      round_head=row["round_head"])  # fmt: skip
    if row["kind"] == "screwed":
        return Screwed(parts, row["size"], point(row["head"]), row["axis"], row["toward"])
    if row["kind"] == "hung":
        return Hung(parts, row["size"])
    return {"glued": Glued, "resting": Resting, "housed": Housed}[row["kind"]](parts)


def point(told):
    return tuple(round(told[axis] * MM) for axis in "xyz")


@pytest.mark.parametrize("name", designs())
@pytest.mark.parametrize("book", ["sample-inch", "sample-metric"])
def test_the_frame_can_be_rebuilt_from_its_data(client, name, book):
    placed = client.get(f"/v1/designs/{name}/frame.json?price_book={book}").json
    quote = client.get(f"/v1/designs/{name}/quote.json?price_book={book}&placed=yes").json
    assert quote["frame"]["placed"] == placed
    frame = rebuilt(placed, quote["cut_list"])
    size = quote["frame"]["size"]
    assert [side / MM for side in frame.bounds.size] == pytest.approx(
        [size[s]["mm"] for s in ("length", "width", "height")]
    )
    counted = {}
    for part in placed["parts"]:
        counted[part["letter"]] = counted.get(part["letter"], 0) + 1
    assert counted == {row["part"]: row["quantity"] for row in quote["cut_list"]}
    holes = {}
    for row in quote["drilling"]:
        holes[row["mark"]] = holes.get(row["mark"], 0) + row["quantity"] * len(row["places"])
    assert sum(holes.values()) == len(operations(frame).holes)


def test_it_is_the_designs_own_frame_to_the_nanometre(client):
    placed = client.get("/v1/designs/bench/frame.json?price_book=sample-inch&rail=2x6&cross_board=2x6").json
    quote = client.get("/v1/designs/bench/quote.json?price_book=sample-inch&rail=2x6&cross_board=2x6").json
    built = designs()["bench"].frame({"rail": "2x6", "cross_board": "2x6"}, reading())
    frame = rebuilt(placed, quote["cut_list"])
    assert frame.boxes == built.boxes
    assert [type(each) for each in frame.joints] == [type(each) for each in built.joints]
    assert {each.head for each in frame.joints if isinstance(each, Bolted | Screwed)} == {
        each.head for each in built.joints if isinstance(each, Bolted | Screwed)
    }
    assert quote["frame"]["placed"] is None


def test_sides_are_named_from_one_place_and_mattresses_lie_in_their_room(client):
    bed = client.get("/v1/designs/slatted-bed/frame?price_book=sample-inch&mattress=queen").json
    assert bed["sides"] == {"x": ["head", "foot"], "y": ["left", "right"], "seen_from": "the foot"}
    (mattress,) = bed["mattresses"]
    assert (mattress["size"]["x"], mattress["size"]["y"]) == (2032, 1524)
    bench = client.get("/v1/designs/bench/frame?price_book=sample-inch").json
    assert bench["sides"] == {"x": ["left", "right"], "y": ["front", "back"], "seen_from": "the front"}


def test_a_fault_in_the_query_is_told_as_for_a_quote(client):
    answer = client.get("/v1/designs/bench/frame.json?price_book=sample-inch&lenght=4ft")
    assert answer.status_code == 422
    assert {fault["parameter"] for fault in answer.json["errors"]} == {"lenght"}


@pytest.mark.parametrize("book", ["sample-inch", "sample-metric"])
def test_a_blank_tells_its_strips_and_every_cut_its_mark_on_the_tape(client, book):
    kerf, asked = 3.2, f"price_book={book}&mattress=eu-160&kerf=3.2+mm"
    quote = client.get(f"/v1/designs/low-platform/quote.json?{asked}").json
    widths = {row["part"]: row["ripped"] for row in quote["cut_list"]}
    length = {row["part"]: row["length"]["mm"] for row in quote["cut_list"]}
    blanks = [(row, cut) for row in quote["cutting_plan"] for cut in row["cuts"] if cut["blank"]]
    assert blanks
    for row, cut in blanks:
        board = sections()[row["section"]].width / MM
        strips, ripped = cut["strips"], widths[cut["part"]]["mm"]
        assert strips * ripped + (strips - 1) * kerf <= board < (strips + 1) * ripped + strips * kerf
        across = -(-cut["parts"] // strips)
        assert across * length[cut["part"]] + (across - 1) * kerf <= cut["length"]["mm"] + 1e-6
    for row in quote["cutting_plan"]:
        end = 0
        for cut in row["cuts"]:
            assert cut["at"]["mm"] == pytest.approx(end + (kerf if end else 0))
            assert cut["to"]["mm"] == pytest.approx(cut["at"]["mm"] + cut["length"]["mm"])
            assert (cut["strips"] is None) is not cut["blank"]
            end = cut["to"]["mm"]
