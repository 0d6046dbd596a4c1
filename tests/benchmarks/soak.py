"""What the service stands: python tests/benchmarks/soak.py [--minutes M] [--kills K] [--data WHERE].

Starts the real service on a store of its own (or at --data, also PostgreSQL), and asks it for a while: first good
clients alone, then beside slow, huge and hostile ones, while processes of it are killed at random, any of them but the
first. It tells how long good answers took, alone and beside the others, what memory the service took, and how many
quotes it had acknowledged; then it looks for each of them. It ends with 1 where one is lost or other than it was told,
where good ones took more than three times as long (p99), or where memory kept growing by more than a third.
"""

import argparse
import http.client
import itertools
import json
import os
import random
import signal
import sys
import tempfile
import threading
import time
from contextlib import suppress
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
from tests.benchmarks.load import resident
from tests.web.serving import started, under

from sawbill.store import Store

MOST_SLOWER = 3
MOST_GROWN = 4 / 3


class Told:
    """What good clients were told."""

    def __init__(self, secret):
        self.shown = {"Authorization": f"Bearer {secret}"}
        self.lock, self.kept, self.alone, self.beside, self.failed = threading.Lock(), {}, [], [], 0


def good(service, told, ended, alone, numbers):
    """Have quotes kept, each of them again and again until it is acknowledged."""
    while not ended.is_set():
        number = next(numbers)
        body = {"price_book": "sample-inch", "lines": [{"design": "bench", "quantity": number % 999 + 1}]}
        key, began = {"Idempotency_Key": f'"soak-{os.getpid()}-{number}"', **told.shown}, time.monotonic()
        while not ended.is_set():
            with suppress(OSError, http.client.HTTPException):
                status, headers, data = service.ask("/v1/quotes", "POST", body, 60, **key)
                if status == 201:
                    with told.lock:
                        told.kept[headers["Location"]] = data
                        (told.alone if alone.is_set() else told.beside).append(time.monotonic() - began)
                    break
            told.failed += 1
            time.sleep(0.2)
        ended.wait(0.25)


def slow(service, ended):
    """Send a head drop by drop."""
    while not ended.is_set():
        with suppress(OSError), service.connect() as connection:
            connection.sendall(b"GET /healthz HTTP/1.1\r\nX: ")
            while not ended.wait(0.5):
                connection.sendall(b"a")


def huge(service, ended):
    """Send what is large to read and means nothing."""
    body = json.dumps({"lines": [], **{f"key {n}": n for n in range(60_000)}}).encode()
    while not ended.is_set():
        with suppress(OSError, http.client.HTTPException):
            service.ask("/v1/quotes?keep=no", "POST", body, 60, Content_Type="application/json")
        ended.wait(2)


def hostile(service, ended):
    """Ask for as much as may be asked for, and leave at times."""
    books = ["sample-inch", "sample-metric"]
    body = {"designs": ["loft-bed", "bunk-bed"], "price_books": books, "quantities": [998, 999]}
    for timeout in itertools.cycle((1, 60)):
        if ended.is_set():
            return
        with suppress(OSError, http.client.HTTPException):
            service.ask("/v1/comparisons", "POST", body, timeout)


def processes(service):
    """All processes of the service but the first."""
    return under(service.process.pid)[1:]


def kill(service, ended, pause, killed):
    """Kill any of them, over and over."""
    chance = random.Random(1)
    while not ended.wait(pause * chance.uniform(0.5, 1.5)):
        victims = processes(service)
        if victims:
            with suppress(OSError):
                os.kill(chance.choice(victims), signal.SIGKILL)
                killed.append(1)


def memory(service):
    """What all processes take together [MiB]."""
    total = 0.0
    for each in [service.process.pid, *processes(service)]:
        with suppress(OSError, IndexError):
            total += resident(each)
    return total


def p99(times):
    return sorted(times)[int(len(times) * 0.99)] if times else float("inf")


def lost(service, told):
    """Count the quotes that are not what was acknowledged."""
    return sum(service.ask(path, **told.shown)[::2] != (200, data) for path, data in told.kept.items())


def main(minutes, kills, data):
    folder = Path(tempfile.mkdtemp(prefix="soak-"))
    data = data or str(folder / "data")
    with Store.open(data) as store:
        store.prepare()
        _, secret = store.tokens.make("good", "soak", ["quote"])
    service = started(folder, "--data", data, "--workers", "2")
    service.ask_again("/healthz")
    told, ended, alone, killed, numbers = Told(secret), threading.Event(), threading.Event(), [], itertools.count()
    alone.set()
    seconds = minutes * 60
    threads = [threading.Thread(target=good, args=(service, told, ended, alone, numbers)) for _ in range(2)]
    for thread in threads:
        thread.start()
    time.sleep(seconds / 10)
    alone.clear()
    others = [(slow, 50, ()), (huge, 1, ()), (hostile, 2, ()), (kill, 1, (seconds * 0.85 / max(kills, 1), killed))]
    for act, count, more in others if kills else others[:-1]:
        threads += [threading.Thread(target=act, args=(service, ended, *more)) for _ in range(count)]
    for thread in threads[2:]:
        thread.start()
    time.sleep(seconds * 0.15)
    first = max(memory(service) for _ in range(20) if not time.sleep(0.25))
    time.sleep(max(0, seconds * 0.75 - 10))
    last = max(memory(service) for _ in range(20) if not time.sleep(0.25))
    ended.set()
    for thread in threads:
        thread.join()
    service.ask_again("/healthz")
    gone, code = lost(service, told), service.end()
    slower = p99(told.beside) / p99(told.alone)
    print(f"quotes acknowledged {len(told.kept)}, lost {gone}; asked again {told.failed}; kills {len(killed)}")
    print(f"p99 of good ones alone {p99(told.alone):.2f} s, beside {p99(told.beside):.2f} s: {slower:.1f} times")
    print(f"memory {first:.0f} MiB at first, {last:.0f} MiB at last")
    return not (gone or code or slower > MOST_SLOWER or last > first * MOST_GROWN)


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--minutes", type=float, default=30)
    asked.add_argument("--kills", type=int, default=100, help="how many processes are killed, about; 0: none")
    asked.add_argument("--data", help="a store to keep quotes in; unset: one that is thrown away")
    chosen = asked.parse_args()
    sys.exit(0 if main(chosen.minutes, chosen.kills, chosen.data) else 1)
