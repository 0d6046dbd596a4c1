"""What the service bears: python tests/benchmarks/load.py [--seconds S] [--requests N] [--workers W] [--beside OTHER].

Starts the real service with `sawbill serve` on this machine, which also makes the load, and prints one table:

- queen beds, no two alike, as fast as they are answered: quotes a second;
- the same at half that rate, each sent at its own moment whether or not others are answered (so a slow answer does not
  thin the load out): how long from that moment to the last byte;
- one address over and over with the tag of what is known already: answers 304 a second;
- memory of a worker, and of the back room, over N requests of all kinds, in a service with one worker. It ends before
  gunicorn would put a new worker in its place, which `sawbill.web.running.server` has it do from 50,000 requests on.

With --beside and the `sawbill` of another release nothing but this is measured: how long both take for the same beds,
for what is known already and for comparisons of eight beds, asked one after the other, now this one first, now that. It
ends with 1 where a median is 5 % longer.

The columns "CPU" say what each request cost, of which process: the workers with their threads and the back room, its
engines with their solvers, and the load's own, which takes its share of the same machine.
"""

import argparse
import itertools
import json
import os
import random
import socket
import statistics
import sys
import threading
import time
from contextlib import contextmanager
from pathlib import Path

from starting import COMMAND, started

TICK = 1 / os.sysconf("SC_CLK_TCK")
CONNECTIONS = 8
"""Who asks at once when it goes as fast as it can: enough to keep every worker busy."""
AT_ONCE = 64
"""Who may wait for an answer at once when each request has its moment."""
QUEEN = "/v1/designs/slatted-bed/quote?price_book=sample-inch&mattress=queen"
MUCH_SLOWER = 1.05


class Client:
    """One connection, which costs the machine little: requests are bytes made before, and answers are hardly read."""

    def __init__(self, port):
        self._port, self._socket, self._held = port, None, b""

    def ask(self, request):
        """Send a request, and give the status of its answer and the tag it came with."""
        if self._socket is not None:
            try:
                return self._ask(request)
            except ConnectionError:  # closed as it was idle, which may be known only now (RFC 9112, 9.3.1, 2022)
                self._socket.close()
        self._socket, self._held = socket.create_connection(("127.0.0.1", self._port), timeout=60), b""
        return self._ask(request)

    def _ask(self, request):
        self._socket.sendall(request)
        while (end := self._held.find(b"\r\n\r\n")) < 0:
            self._more()
        head = {
            name.lower(): value.strip()
            for name, _, value in (line.partition(b":") for line in self._held[:end].split(b"\r\n")[1:])
        }
        status = int(self._held[9:12])
        length = end + 4 + (0 if status == 304 else int(head[b"content-length"]))
        while len(self._held) < length:
            self._more()
        self._held = self._held[length:]
        if head.get(b"connection", b"").lower() == b"close":
            self._socket.close()
            self._socket = None
        return status, head.get(b"etag", b"").decode()

    def _more(self):
        read = self._socket.recv(262_144)
        if not read:
            raise ConnectionError("the service closed a connection without an answer")
        self._held += read


def get(path, **headers):
    lines = [f"GET {path} HTTP/1.1", "Host: localhost", *(f"{name}: {value}" for name, value in headers.items())]
    return "\r\n".join([*lines, "", ""]).encode()


def known_already(service):
    """Ask for a queen bed by the tag of what it is."""
    _, tag = Client(service.port).ask(get(QUEEN))
    return get(QUEEN, **{"If-None-Match": tag})


def beds(first=0):
    """Ask for queen beds without end, no two alike: the height below goes by 1/64 in, and so does the gap of slats.

    Heights come from the whole range in turn, as some are harder than others.
    """
    for number in itertools.count(first):
        options = {
            "mattress": "queen",
            "clear_height": f"{4 + number * 541 % 1280 / 64} in",
            "slat_gap": f"{2 + number // 1280 / 64} in",
        }
        body = json.dumps({"price_book": "sample-inch", "lines": [{"design": "slatted-bed", "options": options}]})
        head = "POST /v1/quotes HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: "
        yield f"{head}{len(body)}\r\n\r\n{body}".encode()


class Service:
    """A running service, and what its processes have used."""

    def __init__(self, port, process):
        self.port, self._process = port, process

    def workers(self):
        return [each for each in children(self._process.pid) if not children(each)]

    def room(self):
        """The back room, the one of its processes that has others."""
        return next(each for each in children(self._process.pid) if children(each))

    def engines(self):
        """The engines, and the solvers beside them."""
        engines = children(self.room())
        return [*engines, *(solver for engine in engines for solver in children(engine))]

    def used(self):
        """CPU time so far [s]: of the workers and the back room, of the engines, of this process."""
        return [sum(map(cpu, pids)) for pids in (children(self._process.pid), self.engines(), [os.getpid()])]


@contextmanager
def serving(workers, sawbill=COMMAND):
    with started(workers, sawbill) as (port, process):
        service = Service(port, process)
        run(service, itertools.islice(beds(10**5), 40 * workers), CONNECTIONS)  # and all is loaded, and warm
        yield service


def children(pid):
    return [int(each) for each in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def cpu(pid):
    """CPU time of a process [s]: proc(5), the 14th and 15th field of stat."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) * TICK


def resident(pid):
    """Memory of a process that is in use [MiB]; what several share is divided among them."""
    rolled = Path(f"/proc/{pid}/smaps_rollup").read_text()
    return int(rolled.partition("\nPss:")[2].split()[0]) / 1024


def run(service, requests, connections, expected=(200,)):
    """Send requests from many connections, and give how long each took [s], from its moment if it has one.

    requests: each a request, or its moment on the monotonic clock and the request.
    """
    requests, lock, times, wrong = iter(requests), threading.Lock(), [], []

    def ask():
        client = Client(service.port)
        while True:
            with lock:
                request = next(requests, None)
            if request is None:
                return
            moment, request = request if isinstance(request, tuple) else (time.monotonic(), request)
            time.sleep(max(0, moment - time.monotonic()))
            status, _ = client.ask(request)
            times.append(time.monotonic() - moment)
            if status not in expected:
                wrong.append(status)

    threads = [threading.Thread(target=ask) for _ in range(connections)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if wrong:
        raise SystemExit(f"{len(wrong)} answers with other statuses than {expected}, such as {wrong[0]}")
    return times


def until(end, requests):
    """Give requests until a moment."""
    return itertools.takewhile(lambda _: time.monotonic() < end, requests)


def at_moments(rate, seconds, requests):
    """Give requests at random moments, so many a second on average, independent of each other."""
    chance, moment, end = random.Random(1), time.monotonic(), time.monotonic() + seconds
    while (moment := moment + chance.expovariate(rate)) < end:
        yield moment, next(requests)


def measured(service, requests, connections, expected=(200,)):
    """Give times, rate, and the costs as a row's text."""
    before, began = service.used(), time.monotonic()
    times = sorted(run(service, requests, connections, expected))
    rate = len(times) / (time.monotonic() - began)
    costs = [1000 * (after - earlier) / len(times) for after, earlier in zip(service.used(), before, strict=True)]
    p50, p99 = times[len(times) // 2], times[int(len(times) * 0.99)]
    return rate, "".join(f"{each:9.2f}" for each in (rate, 1000 * p50, 1000 * p99, *costs))


def of_all_kinds(service):
    """Ask for all kinds of things, without end: a fifth are new beds, three are known already."""
    known = known_already(service)
    faulty = "/v1/designs/bench/quote?price_book=sample-inch&lenth=1"
    others = [get(path) for path in ("/v1/designs", "/v1/tables", "/", faulty, "/metrics", "/openapi.json")]
    for number, bed in enumerate(beds()):
        yield from (bed, known, others[number % len(others)], known, known)


def memory(count):
    """Print the memory of one worker, and of the back room with its engines, as the requests go on."""
    with serving(1) as service:
        (worker,) = service.workers()
        requests, sent = of_all_kinds(service), 0
        for share in (0.05, 0.25, 0.5, 0.75, 1):
            step = int(count * share) - sent
            run(service, itertools.islice(requests, step), CONNECTIONS, (200, 304, 422))
            sent += step
            if service.workers() != [worker]:
                raise SystemExit("the worker was replaced: its memory cannot be compared; ask for fewer requests")
            beside = sum(resident(each) for each in [service.room(), *service.engines()])
            print(f"{f'memory after {sent} requests':<34}{resident(worker):9.1f} MiB, back room {beside:.1f} MiB")


def comparisons(_):
    """Ask for comparisons of eight beds without end, no two alike: the kerf goes by a thousandth of a millimetre."""
    rows = "designs=slatted-bed&mattress=twin,full,queen,king&price_book=sample-inch,sample-metric"
    for number in itertools.count():
        yield get(f"/v1/comparisons?{rows}&kerf={3 + number / 1000:.3f}mm")


KINDS = {
    "queen beds, no two alike": (lambda _: beds(), 200, 200),
    "known already (304)": (lambda service: itertools.repeat(known_already(service)), 2_000, 304),
    "comparisons of eight beds": (comparisons, 40, 200),
}
"""What is asked of two releases beside each other: the requests of a service, how many, and the status of an answer."""


def beside(sawbill):
    """Compare with another release; whether this one is hardly slower."""
    well = True
    with serving(1) as this, serving(1, sawbill) as other:
        clients = Client(this.port), Client(other.port)
        for kind, (requests, count, expected) in KINDS.items():
            asked, times = [requests(this), requests(other)], ([], [])
            for number in range(count):
                for which in (0, 1) if number % 2 else (1, 0):
                    request, began = next(asked[which]), time.monotonic()
                    status, _ = clients[which].ask(request)
                    times[which].append(1000 * (time.monotonic() - began))
                    if status != expected:
                        raise SystemExit(f"{kind}: a request was answered with {status}")
            own, their = map(statistics.median, times)
            print(f"{kind:<34}median {own:6.2f} ms, of the other {their:6.2f} ms: {own / their:.2f} times as long")
            well = well and own <= MUCH_SLOWER * their
    return well


def main(seconds, count, workers):
    print(f"{'':<34}{'a second':>9}{'p50 ms':>9}{'p99 ms':>9}{'CPU ms':>9}{'engine':>9}{'load':>9}", flush=True)
    with serving(workers) as service:
        new = beds()
        rate, row = measured(service, until(time.monotonic() + seconds, new), CONNECTIONS)
        print(f"{'queen beds, no two alike':<34}{row}", flush=True)
        _, row = measured(service, at_moments(rate / 2, seconds, new), AT_ONCE)
        print(f"{'the same at half that rate':<34}{row}", flush=True)
        known = itertools.repeat(known_already(service))
        _, row = measured(service, until(time.monotonic() + seconds, known), CONNECTIONS, (304,))
        print(f"{'known already (304)':<34}{row}", flush=True)
    memory(count)


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--seconds", type=float, default=20, help="how long each rate is measured")
    asked.add_argument("--requests", type=int, default=20_000, help="after how many memory is measured")
    asked.add_argument("--workers", type=int, default=2)
    asked.add_argument("--beside", metavar="OTHER", help="the `sawbill` of another release")
    chosen = asked.parse_args()
    if chosen.beside:
        sys.exit(0 if beside(chosen.beside) else 1)
    main(chosen.seconds, chosen.requests, chosen.workers)
