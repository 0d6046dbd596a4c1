"""Work without end, bounds or number, asked of the service as it runs: others are answered all the same."""

import io
import json
import threading
import time
import zipfile
from concurrent.futures import ThreadPoolExecutor

import pytest
from prometheus_client.parser import text_string_to_metric_families
from tests.web.serving import served

from sawbill.prices.forms import forms
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.store import Store
from sawbill.web.work.handing_in import MOST_OF_ONE

ENDLESS = """
import time
from dataclasses import replace
from sawbill import registry

def turn(options):
    while True:
        pass

def wait(options):
    time.sleep(10**6)

def grow(options):
    return bytearray(2**31)

offered = dict(registry.designs())
for build in (turn, wait, grow):
    offered[build.__name__] = replace(offered["bench"], name=build.__name__, build=build)
registry.designs = lambda: offered
from sawbill.cli.main import main
main()
"""
"""A service that offers three designs more: the work of one has no end and takes a core, that of another never ends,
and that of the third takes 2 GiB."""
DEADLINE = 6
ZIP = "application/zip"


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    return str(tmp_path_factory.mktemp("overload") / "data")


@pytest.fixture(scope="module")
def service(data, tmp_path_factory):
    words = ("--data", data, "--workers", "2")
    more = {"SAWBILL_ENGINES": "2", "SAWBILL_DEADLINE": str(DEADLINE), "SAWBILL_ENGINE_MEMORY": "300"}
    more["SAWBILL_METRICS"] = "open"
    with served(tmp_path_factory.mktemp("logs"), *words, code=ENDLESS, **more) as running:
        yield running


@pytest.fixture(scope="module")
def shown(data, service):
    """What somebody shows to be told from others."""

    def show(owner):
        with Store.open(data) as store:
            return {"Authorization": f"Bearer {store.tokens.make(owner, 'test', ('quote', 'price-book'))[1]}"}

    return show


def line(design, **more):
    return {"price_book": "sample-inch", "lines": [{"design": design, **more}]}


def back_room(service):
    """What the back room tells of itself."""
    told = service.ask("/metrics")[2].decode()
    return {
        sample.labels["what"]: sample.value
        for family in text_string_to_metric_families(told)
        if family.name == "sawbill_back_room"
        for sample in family.samples
    }


def kind_of(answer):
    status, headers, body = answer
    assert status >= 400 and headers["Content-Type"] == "application/problem+json"
    if status in (429, 503):
        assert int(headers["Retry-After"]) > 0
    return json.loads(body)["type"].rpartition("/")[2]


def honest(service, who, number=0):
    return service.ask(f"/v1/designs/bench/quote?price_book=sample-inch&spare_boards={number % 9}", **who)


def test_work_without_end_is_ended_and_others_are_answered_meanwhile(service, shown):
    greedy, anna, answers = shown("greedy"), shown("anna"), []

    def ask(quantity):
        answers.append(service.ask("/v1/quotes?keep=no", "POST", line("turn", quantity=quantity), **greedy))

    threads = [threading.Thread(target=ask, args=(number + 1,)) for number in range(4)]
    for thread in threads:
        thread.start()
    time.sleep(0.3)
    for number in range(6):
        assert honest(service, anna, number)[0] == 200
        began = time.monotonic()
        assert service.ask("/healthz")[0] == 200
        assert time.monotonic() - began < 1
    for thread in threads:
        thread.join()
    assert {kind_of(each) for each in answers} <= {"took-too-long", "busy"}
    counts = back_room(service)
    assert counts["late"] + counts["crowded"] >= 2
    log = service.log_text()
    assert '"work begins"' in log and '"work took too long"' in log, "it is told also where it was ended"


def test_work_that_takes_too_much_memory_is_ended(service, shown):
    answer = service.ask("/v1/quotes?keep=no", "POST", line("grow"), **shown("greedy"))
    assert kind_of(answer) == "took-too-long"
    assert b"memory" in answer[2]
    assert honest(service, shown("anna"))[0] == 200


def test_work_ends_when_who_asked_for_it_has_left(service):
    before = back_room(service)["left"]
    body = json.dumps(line("turn")).encode()
    with service.connect() as connection:
        connection.sendall(
            b"POST /v1/quotes?keep=no HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
            b"Content-Length: %d\r\n\r\n%s" % (len(body), body)
        )
        time.sleep(0.5)
    late = time.monotonic() + DEADLINE + 2
    while back_room(service)["left"] == before:
        assert time.monotonic() < late
        time.sleep(0.05)


def test_a_flood_from_one_is_refused_at_once_and_another_gets_through(service, shown):
    flood, anna = shown("flood"), shown("anna")
    with ThreadPoolExecutor(120) as many:
        asked = [
            many.submit(service.ask, "/v1/quotes?keep=no", "POST", line("wait", quantity=number + 1), **flood)
            for number in range(100)
        ]
        time.sleep(1)
        began = time.monotonic()
        assert honest(service, anna, 1)[0] == 200
        assert time.monotonic() - began < DEADLINE
        kinds = [kind_of(each.result()) for each in asked]
    assert kinds.count("busy") > 50
    assert set(kinds) <= {"busy", "took-too-long"}


def test_the_same_from_one_a_hundred_times_over_takes_one_engine_and_not_every_thread(service, shown):
    flood, anna = shown("same"), shown("anna")
    begun = service.log_text().count('"work begins"')
    with ThreadPoolExecutor(200) as many:
        asked = [many.submit(service.ask, "/v1/quotes?keep=no", "POST", line("wait"), **flood) for _ in range(190)]
        time.sleep(1)
        assert service.log_text().count('"work begins"') - begun <= len(service.workers())
        began = time.monotonic()
        assert honest(service, anna, 2)[0] == 200
        assert time.monotonic() - began < DEADLINE / 2
        kinds = [kind_of(each.result()) for each in asked]
    assert set(kinds) == {"busy", "took-too-long"}, "so many wait, and the others are told at once to ask later"
    assert kinds.count("busy") >= 190 - len(service.workers()) * MOST_OF_ONE


def test_of_fifty_at_once_with_one_key_each_gets_the_same_from_whichever_process(service, shown):
    who = {**shown("careful"), "Idempotency_Key": '"fifty"'}
    begun = service.log_text().count('"work begins"')
    with ThreadPoolExecutor(50) as many:
        asked = [many.submit(service.ask, "/v1/quotes", "POST", line("bench", quantity=7), **who) for _ in range(50)]
        answers = [each.result() for each in asked]
    assert [status for status, _, _ in answers] == [201] * 50
    assert len({(headers["Location"], data) for _, headers, data in answers}) == 1
    assert service.log_text().count('"work begins"') - begun <= 2 * len(service.workers())


def archive(toml):
    """A price book in a zip, its settings as given."""
    written = io.BytesIO()
    book = Shelf(sample_folder()).get("sample-inch")
    with (
        zipfile.ZipFile(io.BytesIO(forms.ARCHIVE.write(book))) as good,
        zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as bad,
    ):
        for name in good.namelist():
            bad.writestr(name, toml if name.endswith("book.toml") else good.read(name))
    return written.getvalue()


def workbook(digits):
    """A price book as a workbook with 5,500 numbers of so many digits in it."""
    written = io.BytesIO()
    book = Shelf(sample_folder()).get("sample-inch")
    row, number = b'<row r="%d"><c r="A%d"><v>%s</v></c></row>', b"9" * digits
    flood = b"".join(row % (place, place, number) for place in range(1_000, 6_500)) + b"</sheetData>"
    with (
        zipfile.ZipFile(io.BytesIO(forms.WORKBOOK.write(book))) as good,
        zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as bad,
    ):
        for name in good.namelist():
            part = good.read(name)
            bad.writestr(name, part.replace(b"</sheetData>", flood) if name.endswith("sheet3.xml") else part)
    return written.getvalue()


def test_a_workbook_of_numbers_of_thousands_of_digits_is_refused_at_once_with_one_error(service, shown):
    data, began = workbook(4_200), time.monotonic()
    answer = service.ask(
        "/v1/price-books/digits", "PUT", data, 60, Content_Type=forms.WORKBOOK.media_type, If_None_Match="*",
        **shown("greedy"),
    )  # fmt: skip
    assert time.monotonic() - began < DEADLINE, "it took 27 s"
    assert (answer[0], kind_of(answer)) == (422, "invalid-request")
    (error,) = json.loads(answer[2])["errors"]
    assert error["code"] == "number-too-long"
    assert error["detail"] == "the cell A1000 has a number of 4200 digits; a spreadsheet keeps 15: write it so"


def keys(count):
    return json.dumps({"price_book": "sample-inch", "lines": [], **{f"line {n}": n for n in range(count)}}).encode()


HUGE = {
    "dotted keys without end": ("PUT", "/v1/price-books/bomb", ZIP, lambda: archive("a." * 49_000 + "a=1")),
    "150,000 keys that nobody knows": ("POST", "/v1/quotes", "application/json", lambda: keys(90_000)),
    "a flood of brackets": ("POST", "/v1/quotes", "application/json", lambda: b"[" * 1_900_000),
    "rows times quantities": (
        "POST", "/v1/comparisons", "application/json",
        lambda: json.dumps({"designs": ["loft-bed"], "price_books": ["sample-inch"],
                            "quantities": [996, 997, 998, 999]}).encode(),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", HUGE)
def test_what_is_huge_to_read_is_answered_by_its_deadline_and_holds_up_nobody(service, shown, name):
    method, path, content_type, body = HUGE[name]
    who = shown("greedy")
    more = {"Content_Type": content_type, "If_None_Match": "*"} if method == "PUT" else {"Content_Type": content_type}
    with ThreadPoolExecutor(1) as beside:
        began = time.monotonic()
        asked = beside.submit(service.ask, path, method, body(), 60, **more, **who)
        for _ in range(5):
            asked_at = time.monotonic()
            assert service.ask("/healthz")[0] == 200
            assert time.monotonic() - asked_at < 1
        answer = asked.result()
        assert time.monotonic() - began < DEADLINE + 3
    assert answer[0] == 200 or kind_of(answer) in ("invalid-request", "bad-request", "took-too-long")
    assert len(answer[2]) < 200_000
