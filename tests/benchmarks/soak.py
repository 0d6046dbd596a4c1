"""What the service stands: python tests/benchmarks/soak.py [--minutes M] [--kills K] [--data WHERE].

Starts the real service on a store of its own (or at --data, also PostgreSQL), and asks it for a while: good clients,
in turn alone and beside slow, huge and hostile ones, so that whatever else the machine has to do bears on both alike.
With --kills processes of it are killed meanwhile at random, any of them but the first. It tells how long good answers
took, alone and beside the others, what memory the service took, and how many quotes it had acknowledged; then it looks
for each of them, and whether any is there by half. It ends with 1 where one is, or is lost or other than it was told,
where memory kept growing by more than a third, and where good ones took more than three times as long beside the others
(p99); with --kills in place of that where hardly any was acknowledged.
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

from sawbill.store import Store, StoreError

MOST_SLOWER = 3
MOST_GROWN = 4 / 3
ROUND = 120
"""How long good ones are alone and then beside the others, once each [s]; a third of it alone."""
SETTLE = 20
"""How long after the others have stopped good ones are alone in truth: what was asked has its deadline [s]."""
STUCK = 10
"""How long to wait for a quote to be acknowledged before the next process is killed all the same [s]."""
FEWEST = 0.2
"""How many quotes must have been acknowledged for each process that was killed, to say anything about them."""


class Told:
    """What good clients were told, and how long they took from which moment on [s]."""

    def __init__(self, secret):
        self.shown = {"Authorization": f"Bearer {secret}"}
        self.lock, self.kept, self.times, self.failed = threading.Lock(), {}, [], 0


class Turns:
    """When good ones are alone, and when others are there too."""

    def __init__(self):
        self.others, self.ended, self.alone, self.beside = threading.Event(), threading.Event(), [], []

    def take(self, seconds):
        """Take turns for a while."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            began = time.monotonic()
            time.sleep(SETTLE + ROUND / 3)
            self.alone.append((began + SETTLE, time.monotonic()))
            self.others.set()
            began = time.monotonic()
            time.sleep(ROUND * 2 / 3)
            self.beside.append((began, time.monotonic()))
            self.others.clear()

    def go_on(self):
        """Wait for the others' turn, and tell whether there is any."""
        while not self.ended.is_set():
            if self.others.wait(0.5):
                return True
        return False


def good(service, told, ended, numbers):
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
                        told.times.append((began, time.monotonic() - began))
                    break
            told.failed += 1
            time.sleep(0.2)
        ended.wait(0.25)


def slow(service, turns):
    """Send a head drop by drop."""
    while turns.go_on():
        with suppress(OSError), service.connect() as connection:
            connection.sendall(b"GET /healthz HTTP/1.1\r\nX: ")
            while turns.others.is_set() and not turns.ended.wait(0.5):
                connection.sendall(b"a")


def huge(service, turns):
    """Send what is large to read and means nothing."""
    body = json.dumps({"lines": [], **{f"key {n}": n for n in range(60_000)}}).encode()
    while turns.go_on():
        with suppress(OSError, http.client.HTTPException):
            service.ask("/v1/quotes?keep=no", "POST", body, 60, Content_Type="application/json")
        turns.ended.wait(2)


def hostile(service, turns):
    """Ask for as much as may be asked for, and leave at times."""
    books = ["sample-inch", "sample-metric"]
    body = {"designs": ["loft-bed", "bunk-bed"], "price_books": books, "quantities": [998, 999]}
    for timeout in itertools.cycle((1, 60)):
        if not turns.go_on():
            return
        with suppress(OSError, http.client.HTTPException):
            service.ask("/v1/comparisons", "POST", body, timeout)


def processes(service):
    """All processes of the service but the first."""
    return under(service.process.pid)[1:]


def kill(service, told, ended, pause, killed):
    """Kill any of them, over and over, each time after a quote was acknowledged, or none was for long."""
    chance, seen = random.Random(1), 0
    while not ended.wait(pause * chance.uniform(0.5, 1.5)):
        late = time.monotonic() + STUCK
        while len(told.kept) == seen and time.monotonic() < late and not ended.wait(0.01):
            pass
        seen, victims = len(told.kept), processes(service)
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


def within(times, turns):
    """How long those took that began in one of the turns."""
    return [took for began, took in times if any(start <= began < end for start, end in turns)]


def lost(service, told):
    """Count the quotes that are not what was acknowledged."""
    return sum(service.ask(path, **told.shown)[::2] != (200, data) for path, data in told.kept.items())


def half(data):
    """Count what is not whole in a store."""
    with Store.open(data) as store:
        broken = 0
        for each in store.quotes.list(None, most=10**6).quotes:
            try:
                json.loads(store.quotes.get(each.id, None).result)
                store.books.revision(each.revision)
            except (ValueError, StoreError):
                broken += 1
        return broken + (0 if "://" in data else len(store.faults()))


def measured(service, turns, seconds):
    """Let it go on for a while, and give what memory it took at first and at last, others beside it [MiB]."""
    taken = []

    def look():
        while not turns.ended.wait(1):
            if turns.others.is_set():
                taken.append(memory(service))

    looking = threading.Thread(target=look)
    looking.start()
    turns.take(seconds)
    turns.ended.set()
    looking.join()
    part = max(1, len(taken) // 5)
    return max(taken[:part]), max(taken[-part:])


def main(minutes, kills, data):
    folder = Path(tempfile.mkdtemp(prefix="soak-"))
    data = data or str(folder / "data")
    with Store.open(data) as store:
        store.migrate()
        _, secret = store.tokens.make("good", "soak", ["quote"])
    service = started(folder, "--data", data, "--workers", "2")
    service.ask_again("/healthz")
    told, turns, killed, numbers, seconds = Told(secret), Turns(), [], itertools.count(), minutes * 60
    acts = [(good, 2, (told, turns.ended, numbers)), *((act, count, (turns,)) for act, count in OTHERS)]
    if kills:
        acts.append((kill, 1, (told, turns.ended, seconds * 0.95 / kills, killed)))
    threads = [threading.Thread(target=act, args=(service, *more)) for act, count, more in acts for _ in range(count)]
    for thread in threads:
        thread.start()
    first, last = measured(service, turns, seconds)
    for thread in threads:
        thread.join()
    service.ask_again("/healthz")
    gone, code = lost(service, told), service.end()
    broken = half(data)
    alone, beside = (p99(within(told.times, each)) for each in (turns.alone, turns.beside))
    print(f"quotes acknowledged {len(told.kept)}, lost {gone}, half {broken}")
    print(f"processes killed {len(killed)}; asked again {told.failed} times")
    print(f"p99 of good ones alone {alone:.2f} s, beside {beside:.2f} s: {beside / alone:.1f} times")
    print(f"memory {first:.0f} MiB at first, {last:.0f} MiB at last")
    slower = beside > MOST_SLOWER * alone if not kills else len(told.kept) < FEWEST * len(killed)
    return not (gone or broken or code or slower or last > first * MOST_GROWN)


OTHERS = ((slow, 50), (huge, 1), (hostile, 2))

if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--minutes", type=float, default=30)
    asked.add_argument("--kills", type=int, default=0, help="how many processes are killed, about; unset: none")
    asked.add_argument("--data", help="a store to keep quotes in; unset: one that is thrown away")
    chosen = asked.parse_args()
    sys.exit(0 if main(chosen.minutes, chosen.kills, chosen.data) else 1)
