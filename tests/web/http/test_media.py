"""Which form an answer takes, by the header Accept (RFC 9110, section 12.5.1)."""

import pytest

from sawbill.web.http.media import CSV, HTML, JSON, TXT, XLSX, accepted, quality
from sawbill.web.http.problems import Problem

OFFERED = (JSON, CSV, XLSX, TXT, HTML)
BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,image/avif,*/*;q=0.8"


@pytest.mark.parametrize(
    ("accept", "form"),
    [
        (None, JSON),
        ("", JSON),
        ("*/*", JSON),
        ("text/csv", CSV),
        ("text/csv; charset=utf-8", CSV),
        ("TEXT/CSV", CSV),
        (BROWSER, HTML),
        ("text/plain;q=0.5, text/csv;q=0.6", CSV),
        ("text/*", CSV),
        ("text/*, text/csv;q=0.1, text/plain;q=0.2", HTML),
        ("application/json;q=0, */*", CSV),
        ("*/*;q=0.1, application/json;q=0.05", CSV),
        ("image/png, application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", XLSX),
    ],
)
def test_what_is_accepted_best_is_sent_and_of_equals_the_first(app, accept, form):
    with app.test_request_context(headers={} if accept is None else {"Accept": accept}):
        assert accepted(OFFERED) is form


@pytest.mark.parametrize("accept", ["image/png", "text/csv;q=0", "*/*;q=0", "application/json;q=0, text/html;q=0"])
def test_where_nothing_offered_is_accepted_the_problem_lists_what_is(app, accept):
    with app.test_request_context(headers={"Accept": accept}), pytest.raises(Problem) as problem:
        accepted((JSON, HTML))
    assert problem.value.kind == "not-acceptable"
    assert "application/json (.json), text/html (.html)" in problem.value.detail


def test_the_closest_range_decides_and_not_the_first():
    # The example of RFC 9110, section 12.5.1, less the types with parameters.
    asked = [("text/*", 0.3), ("text/plain", 0.7), ("*/*", 0.5)]
    assert [quality(media, asked) for media in ("text/plain", "text/html", "image/jpeg")] == [0.7, 0.3, 0.5]
