"""How long a comparison takes beside its single quotes: python tests/benchmarks/comparisons.py [ROUNDS [WORKERS]].

Starts the real service on a free port. Each round asks for 40 rows in one comparison (4 designs x 5 mattresses x 2
price books), then over one connection for the same 40 quotes, one after the other, and compares every row; then for the
comparison once more, in another order of its rows, as whoever has seen the quotes would. Each round has a kerf of its
own, so nothing is at hand from the one before. The first round also warms the engines.
"""

import http.client
import json
import sys
import time
from itertools import product

from starting import started

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


def comparison(connection, kerf, sort):
    start = time.perf_counter()
    asked = f"designs={','.join(DESIGNS)}&mattress={','.join(MATTRESSES)}&price_book={','.join(BOOKS)}"
    rows = get(connection, f"/v1/comparisons?{asked}&kerf={kerf}&sort={sort}")["rows"]
    took = time.perf_counter() - start
    return took, [(row["total"], row["proof"]) for row in sorted(rows, key=lambda row: row["row"])]


def main(rounds, workers):
    with started(workers) as (port, _):
        connection = http.client.HTTPConnection("127.0.0.1", port)
        sums = [0.0, 0.0, 0.0]
        for n in range(rounds):
            kerf = f"{3 + n / 20:.2f}mm"
            connection.close()  # it is opened anew: after a long answer it may not be kept
            together, rows = comparison(connection, kerf, "row")
            connection.close()
            single, totals = single_quotes(connection, kerf)
            connection.close()
            again, same = comparison(connection, kerf, "total")
            for at, (one, other, third) in enumerate(zip(totals, rows, same, strict=True)):
                if (one != other and one[1] == other[1] == "proven") or third not in (one, other):
                    raise SystemExit(f"kerf {kerf}: row {at} is {other}, then {third}, its single quote {one}")
            if cut := sum(one != other for one, other in zip(totals, rows, strict=True)):
                print(f"kerf {kerf}: the machine is too busy: a clock cut the search of {cut} rows")
            first = " (and the engines were warmed)" if n == 0 else ""
            print(
                f"kerf {kerf}: 40 rows {together:6.2f} s{first}, 40 quotes {single:6.2f} s: {together / single:.2f}; "
                f"then 40 rows {again:6.3f} s: {again / single:.3f}"
            )
            if n:
                sums = [each + more for each, more in zip(sums, (together, single, again), strict=True)]
        if rounds > 1:
            print(f"without the first: {sums[0] / sums[1]:.2f}, and {sums[2] / sums[1]:.3f} for quotes made before")


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    main(*(given + [4, 1][len(given) :]))
