"""How long a warm POST /v1/quotes takes: python tests/benchmarks/quotes.py [HOW_MANY].

Starts the real service with one worker on a free port, posts beds over one connection, and prints percentiles
of the whole round trip; the first lines are one and the same queen bed, the second as many different beds.
"""

import http.client
import json
import sys
import time

from starting import started


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


def main(count: int) -> None:
    with started(1) as (port, _):
        connection = http.client.HTTPConnection("127.0.0.1", port)
        queen = bed("queen", "8 in")
        for _ in range(5):
            post(connection, queen)
        print(told("one queen bed", [post(connection, queen) for _ in range(count)]))
        heights = [f"{4 + n * 20 / count:.2f} in" for n in range(count)]
        print(told("as many different beds", [post(connection, bed("queen", height)) for height in heights]))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
