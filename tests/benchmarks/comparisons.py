"""How long a comparison takes beside its single quotes: python tests/benchmarks/comparisons.py [ROUNDS [WORKERS]].

Starts the real service on a free port. Each round asks over one connection for 40 quotes, one after the other
(4 designs x 5 mattresses x 2 price books), then for the same 40 rows in one comparison, and compares every row; each
round has a kerf of its own, so nothing is at hand from the one before. The first round also starts the crew.
"""

import http.client
import json
import socket
import subprocess
import sys
import time
from itertools import product
from pathlib import Path

COMMAND = Path(sys.executable).with_name("sawbill")
DESIGNS = ("slatted-bed", "daybed", "loft-bed", "low-platform")
MATTRESSES = ("twin", "twin-xl", "full", "queen", "king")
BOOKS = ("sample-inch", "sample-metric")


def get(connection, path):
    connection.request("GET", path)
    answer = connection.getresponse()
    body = answer.read()
    if answer.status != 200:
        raise SystemExit(f"{path}: status {answer.status}: {body[:300]!r}")
    return json.loads(body)


def single_quotes(connection, kerf):
    start = time.perf_counter()
    answers = [
        get(connection, f"/v1/designs/{design}/quote?price_book={book}&mattress={mattress}&kerf={kerf}")
        for design, mattress, book in product(DESIGNS, MATTRESSES, BOOKS)
    ]
    return time.perf_counter() - start, [(each["totals"]["total"], each["proof"]["status"]) for each in answers]


def comparison(connection, kerf):
    start = time.perf_counter()
    asked = f"designs={','.join(DESIGNS)}&mattress={','.join(MATTRESSES)}&price_book={','.join(BOOKS)}&kerf={kerf}"
    rows = get(connection, f"/v1/comparisons?{asked}")["rows"]
    return time.perf_counter() - start, [(row["total"], row["proof"]) for row in rows]


def main(rounds, workers):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    service = subprocess.Popen(
        [COMMAND, "serve", "--port", str(port), "--workers", str(workers)], stderr=subprocess.DEVNULL
    )
    try:
        for _ in range(100):
            try:
                socket.create_connection(("127.0.0.1", port), timeout=1).close()
                break
            except OSError:
                time.sleep(0.1)
        connection = http.client.HTTPConnection("127.0.0.1", port)
        sums = [0.0, 0.0]
        for n in range(rounds):
            kerf = f"{3 + n / 20:.2f}mm"
            connection.close()  # it is opened anew: after a long answer it may not be kept
            single, totals = single_quotes(connection, kerf)
            connection.close()
            together, rows = comparison(connection, kerf)
            pairs = list(zip(totals, rows, strict=True))
            for at, (one, other) in enumerate(pairs):
                if one != other and one[1] == other[1] == "proven":
                    raise SystemExit(f"kerf {kerf}: row {at} is {other}, its single quote {one}")
            if cut := sum(one != other for one, other in pairs):
                print(f"kerf {kerf}: the machine is too busy: a clock cut the search of {cut} rows")
            first = " (and the crew was started)" if n == 0 else ""
            print(f"kerf {kerf}: 40 quotes {single:6.2f} s, 40 rows {together:6.2f} s: {together / single:.2f}{first}")
            if n:
                sums = [sums[0] + single, sums[1] + together]
        if rounds > 1:
            print(f"without the first: {sums[1] / sums[0]:.2f}")
    finally:
        service.terminate()
        service.wait()


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    main(*(given + [4, 1][len(given) :]))
