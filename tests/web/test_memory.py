"""What memory a request takes, by the size of its body: a ceiling for each, in the service as it runs."""

import json
import random
from pathlib import Path

import pytest
from tests.many_suppliers import book_of, line_of
from tests.web.serving import children, served

MEGABYTE = 1_000_000
CEILINGS = {MEGABYTE: 60, 10 * MEGABYTE: 500}
"""How much more memory than before worker and engines may take [MB], by the size of the body [bytes]."""
JSON = {"Content-Type": "application/json"}


def spaces(size):
    """Nothing, at length."""
    return b" " * size


def one_text(size):
    """A label that goes on and on."""
    text = json.dumps({"price_book": "sample-inch", "lines": [{"design": "slatted-bed", "label": ""}]})
    return text.replace('"label": ""', f'"label": "{"x" * (size - len(text))}"').encode()


def small_things(size):
    """What takes many times its length once it is read: empty lists in a list."""
    return b'{"lines": [' + b"[]," * ((size - 20) // 3) + b"[]]}"


def pieces(size):
    """A request like others, with far too many lines."""
    line = json.dumps({"parts": [{"section": "1x8", "length": "30 in", "quantity": 3}]}).encode()
    return b'{"price_book": "sample-inch", "lines": [' + b",".join([line] * (size // (len(line) + 1))) + b"]}"


def taken(service):
    """Of each process: the most memory it has taken since it was asked last, and what it takes now [MB]."""
    room = service.back_room()
    processes = [room, *children(room), *service.workers()]
    return {process: told for process in processes if (told := _taken(process)) is not None}


def grown(before, after):
    """How much more all processes took at most, and take now [MB]; a new one is a copy of the back room, which is the
    first, and begins at its size."""
    copied = next(iter(before.values()))
    began = [before.get(process, copied)[1] for process in after]
    most, now = zip(*after.values(), strict=True)
    return sum(most) - sum(began), sum(now) - sum(began)


def _taken(process):
    told = dict(line.split(":", 1) for line in Path(f"/proc/{process}/status").read_text().splitlines())
    if "VmHWM" not in told:  # it is about to end
        return None
    Path(f"/proc/{process}/clear_refs").write_text("5")  # the peak counts from here
    return tuple(int(told[name].split()[0]) / 1024 for name in ("VmHWM", "VmRSS"))


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    with served(tmp_path_factory.mktemp("memory"), SAWBILL_MAX_BODY=str(10 * MEGABYTE)) as running:
        assert running.ask("/v1/quotes", "POST", pieces(200), 60, **JSON)[0] == 200
        yield running


@pytest.mark.parametrize("body", [spaces, one_text, small_things, pieces], ids=lambda made: made.__name__)
@pytest.mark.parametrize("size", CEILINGS, ids=lambda size: f"{size // MEGABYTE} MB")
def test_a_body_takes_no_more_memory_than_its_ceiling_and_gives_it_back(service, size, body):
    before = taken(service)
    status, _, told = service.ask("/v1/quotes", "POST", body(size)[:size], 60, **JSON)
    most, now = grown(before, taken(service))
    assert status in (400, 422), told[:300]
    assert most < CEILINGS[size]
    assert now < CEILINGS[size] / 2


def test_what_is_larger_than_a_body_may_be_is_refused_unread(service):
    before = taken(service)
    head = "POST /v1/quotes HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: "
    with service.connect() as connection:
        connection.sendall(f"{head}{10 * MEGABYTE + 1}\r\n\r\n".encode())
        assert connection.recv(100).startswith(b"HTTP/1.1 413 ")
    assert grown(before, taken(service))[0] < 5


@pytest.mark.parametrize("number", [40, 100])
def test_many_suppliers_are_chosen_among_in_time_and_with_little_memory(service, number):
    """Sets of suppliers double with each one: 2^100 of them are not listed."""
    chance = random.Random(number)
    book, line = book_of(chance, number), line_of(chance)
    asked = json.dumps({"price_book": book, "lines": [line]}).encode()
    taken(service)  # the peaks count from here
    status, _, told = service.ask("/v1/quotes", "POST", asked, 60, **JSON)
    answer = json.loads(told)
    assert status == 200, answer
    assert max(most for most, _ in taken(service).values()) < 300
    proof = answer["proof"]
    assert proof["status"] == ("proven" if float(proof["gap"]) == 0 else "time_limit")


def test_the_door_takes_no_more_after_many_large_bodies_than_after_a_few(service):
    """Nothing holds what was sent once it is answered, else each 10 MB would add to the next until a collection."""

    def largest(count):
        for number in range(count):
            body = (spaces, one_text, small_things, pieces)[number % 4]
            service.ask("/v1/quotes", "POST", body(10 * MEGABYTE)[: 10 * MEGABYTE], 60, **JSON)
            yield sum(_taken(worker)[1] for worker in service.workers())

    few = max(largest(12))
    assert max(largest(24)) < few + 6 * 10, "24 that were held would take 240 MB"
