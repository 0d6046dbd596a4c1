"""What takes long to write, to read or to compare is done in the back room; what does not is done at the door."""

import json
import pickle
import shutil

import pytest
from tests.web.guarded import Kept

from sawbill.backroom import Here
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.pricebook import canonical
from sawbill.prices.shelf import sample_folder
from sawbill.web.app import create_app
from sawbill.web.library import packing
from sawbill.web.reckoning import comparisons
from sawbill.web.running.settings import Settings
from sawbill.web.written import tabled


class Watched(Here):
    """A room that notes what it is asked for, and does it as an engine would: from bytes, to bytes."""

    def __init__(self):
        self.asked, self.answers, self.handed = [], [], {}

    def submit(self, task):
        self.asked.append(task.function.__name__)
        self.handed[task.function.__name__] = task.shared
        function, arguments = pickle.loads(task.work)
        future = super().submit(type(task)(function, arguments, task.shared))
        if future.exception() is None:
            self.answers.append(pickle.loads(pickle.dumps(future.result().value)))
        return future


@pytest.fixture(scope="module")
def watched():
    return Watched()


@pytest.fixture
def room(watched):
    watched.__init__()
    return watched


def beds(count):
    options = [{"mattress": "queen", "clear_height": f"{6 + n} in"} for n in range(count)]
    return {"price_book": "sample-inch", "lines": [{"design": "slatted-bed", "options": each} for each in options]}


@pytest.fixture(scope="module")
def kept(tmp_path_factory, watched):
    """A store with a small quote and a large one, and a book of few rows and of many."""
    found = Kept(tmp_path_factory.mktemp("kept"))
    found.app = create_app(Settings(data=str(found.folder)), room=watched)
    anna = found.as_("anna", "quote", "price-book")
    found.addresses = {
        size: anna.post("/v1/quotes", json=beds(count)).headers["Location"]
        for size, count in (("small", 1), ("large", 6))
    }
    book = anna.get("/v1/price-books/sample-inch.json").json
    del book["name"], book["revision"]
    for name, count in (("few", 0), ("many", 1000)):
        book["lumber"] += [{**book["lumber"][0], "item_code": f"more {n}"} for n in range(count)]
        stored = anna.put(f"/v1/price-books/{name}", json=book, headers={"If-None-Match": "*"})
        assert stored.status_code == 201
    return found


@pytest.fixture
def anna(kept, room):
    return kept.as_("anna", "quote", "price-book")


FORMS = ("xlsx", "txt", "html", "cut-list.xlsx", "checks.html", "steps.csv", "cut-list.json")


def beside_pictures(room):
    """What was asked of the room, with its answers, but for pictures, which it always draws."""
    return [each for each in zip(room.asked, room.answers, strict=True) if each[0] not in ("pictures", "pixels")]


def beside_reading(room):
    """What was asked of the room, but for price books to be read, which happens once."""
    return [each for each in room.asked if each != "of_store"]


@pytest.mark.parametrize("form", FORMS)
def test_a_large_quote_is_written_in_the_back_room_and_a_small_one_at_the_door(kept, anna, room, form):
    separator = "/" if form.count(".") else "."
    small, large = (anna.get(f"{kept.addresses[size]}{separator}{form}") for size in ("small", "large"))
    assert (small.status_code, large.status_code) == (200, 200)
    ((asked, written),) = beside_pictures(room)
    assert asked == ("one_table" if separator == "/" else "quote")
    assert (written.encode() if isinstance(written, str) else written) == large.data


@pytest.mark.parametrize("form", FORMS)
def test_it_is_the_same_wherever_it_is_written(kept, anna, room, form, monkeypatch):
    address = f"{kept.addresses['large']}{'/' if form.count('.') else '.'}{form}"
    aside = anna.get(address).data
    monkeypatch.setattr(tabled, "SMALL", 10**9)
    assert anna.get(address).data == aside
    assert len(beside_pictures(room)) == 1


@pytest.mark.parametrize("form", ["json", "xlsx", "zip"])
def test_a_price_book_of_many_rows_is_written_in_the_back_room(anna, room, form, monkeypatch):
    assert anna.get(f"/v1/price-books/few.{form}").status_code == 200 and beside_reading(room) == []
    aside = anna.get(f"/v1/price-books/many.{form}").data
    assert beside_reading(room) == ["written"]
    monkeypatch.setattr(packing, "SMALL", 10**9)
    if form != "zip":  # whose files have their time
        assert anna.get(f"/v1/price-books/many.{form}").data == aside
    assert beside_reading(room) == ["written"]


def test_what_changed_of_many_rows_and_what_became_of_a_quote_is_told_by_the_back_room(kept, anna, room, monkeypatch):
    book = anna.get("/v1/price-books/many.json")
    content, before = {**book.json}, book.json["revision"]
    del content["name"], content["revision"], room.asked[:]
    content["title"] = "Another title"
    assert anna.put("/v1/price-books/many", json=content, headers={"If-Match": book.headers["ETag"]}).status_code == 200
    changed = anna.get(f"/v1/price-books/many/changes?from={before}")
    assert [each["new"] for each in changed.json["settings"]] == ["Another title"]
    assert room.asked == ["book", "of_store", "changed"]
    requoted = anna.post(f"{kept.addresses['small']}/requote")
    assert requoted.json["drift"]["why"] == [requoted.json["drift"]["why"][0]], "nothing moved"
    assert room.asked[3:] == ["quote", "drifted"]


def bench(of):
    return {"price_book": of, "lines": [{"design": "bench"}]}


def test_a_large_stored_book_is_read_once_by_the_back_room_and_goes_on_as_it_was_read(anna, room, inch):
    assert anna.get("/v1/price-books").status_code == 200, "the others have been read"
    content = json.loads(canonical(inch))
    content["lumber"] += [{**content["lumber"][0], "item_code": f"other {n}"} for n in range(1000)]
    assert anna.put("/v1/price-books/large", json=content, headers={"If-None-Match": "*"}).status_code == 201
    revision = anna.get("/v1/price-books/large/revisions").json["revisions"][0]["revision"]
    del room.asked[:], room.answers[:]
    for _ in range(2):
        assert anna.post("/v1/quotes?keep=no", json=bench("large")).status_code == 200
        assert anna.get("/v1/price-books").status_code == 200
    assert room.asked == ["of_store", "quote", "quote"]
    (handed,) = room.handed["quote"]
    assert handed == packing.Shared(f"large@{revision}", room.answers[0]), "nobody reads it or packs it again"


def test_a_large_book_of_the_folder_is_read_by_the_back_room_and_its_faults_are_told(tmp_path, watched, room):
    folder = tmp_path / "yard"
    shutil.copytree(sample_folder() / "sample-inch", folder)
    lumber = folder / "lumber.csv"
    _, first, *_ = rows = lumber.read_text().splitlines()
    lumber.write_text("\n".join([*rows, *(first.replace("A-", f"B{n}-", 1) for n in range(2000))]))
    client = create_app(Settings(tmp_path), room=watched).test_client()
    for _ in range(2):
        assert client.post("/v1/quotes?keep=no", json=bench("yard")).status_code == 200
    assert room.asked == ["of_folder", "quote", "quote"]
    lumber.write_text(lumber.read_text().replace("1.96", "-1.96", 1))
    faulty = client.post("/v1/quotes?keep=no", json=bench("yard"))
    assert (faulty.status_code, faulty.json["type"].rpartition("/")[2]) == (503, "price-book-at-fault")


def test_no_price_book_comes_back_from_the_back_room(anna, room):
    found = anna.post("/v1/comparisons", json={"designs": ["bench"], "price_books": ["sample-inch", "sample-metric"]})
    assert found.status_code == 200
    (read,) = [each for each in room.answers if isinstance(each, comparisons.Read)]
    assert read.books == (0, 1)
    assert len(pickle.dumps(read)) < 20_000


def test_a_large_price_book_is_handed_over_as_it_is_stored_and_read_by_the_engine(inch, monkeypatch):
    monkeypatch.setattr(packing, "SMALL", 10)
    large = read_json("large", json.loads(canonical(inch)))
    handed = packing.shared(large)
    assert canonical(large) in handed.packed
    assert pickle.loads(handed.packed) == large
