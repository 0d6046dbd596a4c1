"""Whether the service can take requests, and what it has counted."""

import os
import sqlite3
import subprocess
import sys

from prometheus_client.parser import text_string_to_metric_families
from tests.web.guarded import Kept

from sawbill.cutting import plan
from sawbill.web.reckoning.readiness import TINY


def counted(client):
    """Read the meters: the value of each sample by its name and labels."""
    answer = client.get("/metrics")
    assert answer.status_code == 200
    assert answer.content_type == "text/plain; version=0.0.4; charset=utf-8"
    families = text_string_to_metric_families(answer.text)
    return {(each.name, frozenset(each.labels.items())): each.value for family in families for each in family.samples}


def labels(**named):
    return frozenset(named.items())


def test_a_service_is_ready_with_its_designs_its_store_and_its_solver(app, tmp_path, holds):
    answer = app.test_client().get("/readyz")
    holds("Ready", answer.json)
    assert answer.json["status"] == "ready"
    assert answer.json["designs"] == len(app.extensions["sawbill"].designs)
    assert answer.json["store"] == "none"
    assert Kept(tmp_path / "data").client().get("/readyz").json["store"] == "kept"


def test_the_plan_that_warms_the_solver_is_two_boards_and_proven():
    # 4 x 30 in + 3 x 20 in = 180 in and 7 kerfs of 1/8 in: more than one board of 96 in; 3 x 30 in with their kerfs and
    # 30 in + 3 x 20 in with theirs are 90 3/8 in and 90 1/2 in.
    made = plan(TINY)
    assert (made.cost, made.bound, sum(board.count for board in made.boards)) == (800, 800, 2)


def test_a_service_without_its_store_is_not_ready_and_says_why(tmp_path, as_problem):
    kept = Kept(tmp_path / "data")
    with sqlite3.connect(kept.folder / "sawbill.sqlite") as connection:
        connection.execute("UPDATE alembic_version SET version_num = 'newer'")
    connection.close()
    answer = kept.client().get("/readyz")
    assert answer.status_code == 503
    assert "Retry-After" in answer.headers
    problem = as_problem(answer)
    assert problem["type"] == "/problems/not-ready"
    assert [error["code"] for error in problem["errors"]] == ["store"]
    assert "newer version" in problem["detail"]
    assert kept.client().get("/healthz").status_code == 200


def test_a_service_without_designs_is_not_ready(app_with, as_problem):
    answer = app_with(designs={}).test_client().get("/readyz")
    assert [error["code"] for error in as_problem(answer)["errors"]] == ["designs"]


def test_requests_are_counted_by_route_method_and_status(app_with):
    client = app_with().test_client()
    for path in ("/v1/designs/slatted-bed", "/v1/designs/low-platform", "/v1/designs/none", "/nothing", "/else"):
        client.get(path)
    found = counted(client)
    name = "sawbill_requests_total"
    assert found[name, labels(route="/v1/designs/<design>", method="GET", status="200")] == 2
    assert found[name, labels(route="/v1/designs/<design>", method="GET", status="404")] == 1
    assert found[name, labels(route="", method="GET", status="404")] == 2
    assert found["sawbill_request_seconds_count", labels(route="/v1/designs/<design>", method="GET")] == 3
    assert found["sawbill_request_seconds_bucket", labels(route="/v1/designs/<design>", method="GET", le="+Inf")] == 3


def test_quotes_are_counted_by_how_far_they_are_proven(app_with, body):
    client = app_with().test_client()
    for _ in range(2):
        assert client.post("/v1/quotes", json=body).status_code == 200
    client.post("/v1/quotes", json={})
    assert counted(client)["sawbill_quotes_total", labels(proof="proven")] == 2


def test_nobody_can_make_up_labels(app_with):
    client = app_with().test_client()
    for number in range(30):
        client.open(f"/made-up/{number}", method=f"M{number}")
    requests = [key for key in counted(client) if key[0] == "sawbill_requests_total"]
    assert len(requests) == 1


TWO = """
import os
from sawbill.web.running.metrics import Meters, Place

Place.number = 0
meters = Meters()
for place, quotes in ((1, 3), (2, 4), (1, 5)):  # the third takes the place of the first
    if (child := os.fork()) == 0:
        Place.number = place
        for _ in range(quotes):
            meters.count_quote("proven")
        os._exit(0)
    assert os.waitpid(child, 0)[1] == 0
meters.count_quote("proven")
print(meters.told({}).decode())
"""


def test_processes_add_up_and_one_goes_on_where_another_ended(tmp_path):
    environment = {**os.environ, "PROMETHEUS_MULTIPROC_DIR": str(tmp_path)}
    told = subprocess.run(
        [sys.executable, "-c", TWO], env=environment, capture_output=True, text=True, check=True
    ).stdout
    assert 'sawbill_quotes_total{proof="proven"} 13.0' in told
    assert {file.name for file in tmp_path.glob("counter_*")} == {f"counter_{place}.db" for place in (0, 1, 2)}
