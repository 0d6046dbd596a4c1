"""The two sample books sell all that any design can need, and look like price lists."""

from collections import Counter, defaultdict
from itertools import pairwise

import pytest

from sawbill.prices.forms.folder import read_folder
from sawbill.prices.pricebook import SUPPLIES
from sawbill.prices.shelf import sample_folder
from sawbill.trade.fasteners import ITEMS, bolt_sizes, hangers, screw_sizes
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import section


@pytest.fixture(scope="module", params=["sample-inch", "sample-metric"])
def book(request):
    return read_folder(sample_folder() / request.param)


def sold(book):
    return {(offer.item, offer.size, offer.length) for offer in book.hardware}


def test_it_says_that_it_is_a_sample(book):
    assert book.sample
    assert "invented" in book.title


@pytest.mark.parametrize("item", ["hex bolt", "round-head bolt"])
def test_it_sells_every_bolt_of_its_system_in_every_length(book, item):
    wanted = {(item, b.name, nm) for b in bolt_sizes().values() if b.system == book.units for nm in b.lengths}
    assert len(wanted) > 100
    assert wanted <= sold(book)


def test_it_sells_a_tee_nut_a_washer_and_a_nut_for_every_bolt(book):
    sizes = [bolt.name for bolt in bolt_sizes().values() if bolt.system == book.units]
    wanted = {(item, size, None) for item in ("tee nut", "washer", "hex nut", "nut cap") for size in sizes}
    assert wanted <= sold(book)


def test_it_sells_every_wood_screw_of_its_system_in_every_length(book):
    wanted = {("wood screw", s.name, nm) for s in screw_sizes().values() if s.system == book.units for nm in s.lengths}
    assert wanted
    assert wanted <= sold(book)


def test_it_sells_every_hanger_of_its_system_with_its_nails(book):
    own = [hanger for hanger in hangers().values() if hanger.system == book.units]
    assert own
    assert {("joist hanger", hanger.name, None) for hanger in own} <= sold(book)
    assert {("hanger nail", "", hanger.nail_length) for hanger in own} <= sold(book)


def test_it_sells_every_item_and_every_supply_there_is(book):
    assert {offer.item for offer in book.hardware} == set(ITEMS)
    assert {offer.item for offer in book.supplies} == set(SUPPLIES)
    assert len({offer.amount for offer in book.supplies if offer.item == "wood glue"}) >= 3


def test_most_sections_come_in_four_lengths_or_more(book):
    lengths = defaultdict(set)
    for offer in book.lumber:
        lengths[offer.section.name].add(offer.length)
    assert len(lengths) >= 8
    assert sum(len(each) >= 4 for each in lengths.values()) > len(lengths) / 2


def test_some_sections_come_in_two_species_and_two_grades(book):
    kinds = defaultdict(set)
    for offer in book.lumber:
        kinds[offer.section.name].add((offer.species, offer.grade))
    assert any(len({s for s, _ in each}) > 1 and len({g for _, g in each}) > 1 for each in kinds.values())


def test_it_shows_each_thing_a_book_can_say(book):
    assert len(book.suppliers) >= 2
    assert any(offer.in_stock for offer in book.lumber)
    assert any(offer.least_quantity > 1 for offer in book.lumber)
    assert any(offer.measured_length for offer in book.lumber)
    assert any(offer.section != section(offer.section.name) for offer in book.lumber)
    assert len({offer.per for offer in book.lumber}) > 1


def test_boards_of_a_measured_size_are_never_the_cheapest_of_their_section(book):
    for offer in book.lumber:
        if offer.section != section(offer.section.name):
            others = [o for o in book.lumber if o.section == section(offer.section.name) and o.length >= offer.length]
            assert min(o.each for o in others) < offer.each


def test_the_lengths_of_the_metric_book_go_by_300_mm_but_for_studs():
    book = read_folder(sample_folder() / "sample-metric")
    odd = {offer.item_code for offer in book.lumber if offer.length % (300 * MM)}
    assert odd == {"S-STUD-2362", "S-STUD-2562"}


def test_longer_boards_of_one_kind_are_dearer(book):
    kinds = defaultdict(list)
    for offer in book.lumber:
        if offer.least_quantity == 1 and offer.section == section(offer.section.name):
            key = (
                offer.supplier,
                offer.section.name,
                offer.species,
                offer.grade,
                offer.measured_length is None,
            )
            kinds[key].append((offer.length, offer.each))
    for key, boards in kinds.items():
        for (_, short), (_, long) in pairwise(sorted(boards)):
            assert short < long, key


def test_longer_fasteners_of_one_size_and_pack_are_dearer(book):
    kinds = defaultdict(list)
    for offer in book.hardware:
        if offer.length is not None:
            kinds[offer.supplier, offer.item, offer.size, offer.pack].append((offer.length, offer.each))
    for key, fasteners in kinds.items():
        for (_, short), (_, long) in pairwise(sorted(fasteners)):
            assert short < long, key


def test_a_piece_is_cheaper_out_of_a_larger_pack(book):
    kinds = defaultdict(list)
    for offer in book.hardware:
        kinds[offer.supplier, offer.item, offer.size, offer.length].append((offer.pack, offer.each / offer.pack))
    assert sum(len(packs) > 1 for packs in kinds.values()) > len(kinds) / 2
    for key, packs in kinds.items():
        for (_, small), (_, large) in pairwise(sorted(packs)):
            assert large < small, key


def test_a_board_is_cheaper_in_quantity(book):
    singles = {(o.supplier, o.item_code): o.each for o in book.lumber if o.least_quantity == 1}
    for offer in book.lumber:
        if offer.least_quantity > 1:
            assert offer.each < singles[offer.supplier, offer.item_code]


def test_its_rows_are_as_many_as_its_file_has(book):
    lines = (sample_folder() / book.name / "lumber.csv").read_text().count("\n") - 1
    assert len(book.lumber) == lines
    assert max(Counter(o.item_code for o in book.hardware).values()) == 1
