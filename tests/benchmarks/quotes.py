"""How long a warm POST /v1/quotes takes: python tests/benchmarks/quotes.py [HOW_MANY] [--profile].

Starts the real service with one worker on a free port, posts beds over one connection, and prints percentiles
of the whole round trip; the first lines are one and the same queen bed, the second as many different beds.

With --profile it tells what different beds cost the processor, stage by stage: those of an engine one after the other
in this process, then all that the door and the engines of a service use for a bed.
"""

import argparse
import http.client
import json
import statistics
import time
from collections import defaultdict
from pathlib import Path

from load import Service
from starting import started

from sawbill import cutting
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.quote import quote_json
from sawbill.buying.suppliers import cheapest_sourcing, until
from sawbill.buying.takeoff import take_off
from sawbill.checks.together import check_frame
from sawbill.prices.forms.folder import read_folder
from sawbill.quoting.holding import held
from sawbill.quoting.quote import make_quote
from sawbill.quoting.summaries import materials_of, woods_of
from sawbill.quoting.work import work_for
from sawbill.web.reckoning import readiness
from sawbill.web.reckoning.prices import Named, Prices, body_read
from sawbill.web.reckoning.quotes import Asked, read

BOOK = Path(__file__).parents[2] / "pricebooks" / "sample-inch"
WARM = 20


def bed(mattress: str, clear_height: str) -> bytes:
    options = {"mattress": mattress, "clear_height": clear_height}
    return json.dumps({"price_book": "sample-inch", "lines": [{"design": "slatted-bed", "options": options}]}).encode()


def post(connection: http.client.HTTPConnection, body: bytes) -> float:
    start = time.perf_counter()
    connection.request("POST", "/v1/quotes", body, {"Content-Type": "application/json"})
    answer = connection.getresponse()
    answer.read()
    if answer.status != 200:
        raise SystemExit(f"status {answer.status}")
    return 1000 * (time.perf_counter() - start)


def told(name: str, times: list[float]) -> str:
    times = sorted(times)
    p50, p95 = times[len(times) // 2], times[int(len(times) * 0.95)]
    return f"{name:<24} n {len(times):4}  median {p50:6.1f} ms  p95 {p95:6.1f} ms  most {times[-1]:6.1f} ms"


def heights(count: int) -> list[str]:
    return [f"{4 + n * 20 / count:.2f} in" for n in range(count)]


class Stages:
    """What each stage of a quote costs the processor [ms]; a bed of one's own each time, for stages remember."""

    def __init__(self) -> None:
        self.book = read_folder(BOOK)
        self.spent: defaultdict[str, list[float]] = defaultdict(list)
        readiness.load()

    def _timed(self, stage, function, *given, **named):
        begun = time.process_time()
        made = function(*given, **named)
        self.spent[stage].append(1000 * (time.process_time() - begun))
        return made

    def quote(self, height: str) -> None:
        """All of a quote, in the order in which an engine goes."""
        named = Named({"sample-inch": 0}, 0)
        asked = Asked(bed("queen", height), named)
        raw = body_read(asked.body)
        request, book = self._timed("request read, frame made", read, raw, Prices((self.book,), named), asked)
        off = self._timed("take-off", take_off, request.lines, request.shop.rounding_step)
        holding = self._timed("purchase and checks", held, off, request, book, until(cutting.EMERGENCY))
        quote = self._timed("near misses, notices, totals", make_quote, request, book, bought=holding)
        work = self._timed("steps and their time", work_for, quote, request.units)
        content = self._timed("JSON: keys and words", quote_json, quote, work=work)
        self._timed("JSON: bytes", json_bytes, content)

    def parted(self, height: str) -> None:
        """What is bought, and the checks of what that is cut for, by themselves."""
        named = Named({"sample-inch": 0}, 0)
        request, book = read(body_read(bed("queen", height)), Prices((self.book,), named), Asked(b"", named))
        off = take_off(request.lines, request.shop.rounding_step)
        sourcing = self._timed("- purchase", cheapest_sourcing, off, request, book)
        materials = materials_of(off, woods_of(sourcing.purchase))
        self._timed("- checks", check_frame, request.lines[0].frame, request.site, materials[0])


def profile(count: int) -> None:
    stages = Stages()
    for n, height in enumerate(heights(count + 2 * WARM)):
        if n == 2 * WARM:
            stages.spent.clear()
        (stages.parted if n % 2 else stages.quote)(height)
    print(f"{'stage, in an engine':<32} {'mean':>7} {'median':>7} {'least':>7}  [ms of the processor]")
    for stage, spent in stages.spent.items():
        print(f"{stage:<32} {statistics.mean(spent):7.2f} {statistics.median(spent):7.2f} {min(spent):7.2f}")
    parts = [spent for stage, spent in stages.spent.items() if not stage.startswith("-")]
    print(f"{'in all':<32} {sum(map(statistics.mean, parts)):7.2f}")
    with started(1) as (port, process):
        service, connection = Service(port, process), http.client.HTTPConnection("127.0.0.1", port)
        for height in heights(2 * WARM):
            post(connection, bed("twin", height))
        before = service.used()
        for height in heights(count):
            post(connection, bed("queen", height))
        door, engines, _ = (1000 * (after - then) / count for after, then in zip(service.used(), before, strict=True))
        print(f"{'through the service: engines':<32} {engines:7.2f}\n{'through the service: the door':<32} {door:7.2f}")


def main(count: int) -> None:
    with started(1) as (port, _):
        connection = http.client.HTTPConnection("127.0.0.1", port)
        queen = bed("queen", "8 in")
        for _ in range(5):
            post(connection, queen)
        print(told("one queen bed", [post(connection, queen) for _ in range(count)]))
        print(told("as many different beds", [post(connection, bed("queen", height)) for height in heights(count)]))


if __name__ == "__main__":
    given = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    given.add_argument("count", nargs="?", type=int, default=200, metavar="HOW_MANY")
    given.add_argument("--profile", action="store_true", help="tell what each stage costs")
    words = given.parse_args()
    (profile if words.profile else main)(words.count)
