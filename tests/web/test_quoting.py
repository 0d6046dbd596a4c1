"""Working quotes out: whose turn it is."""

import threading
import time

import pytest

from sawbill.web import quoting


@pytest.fixture
def ask_at_once(app_with, body, monkeypatch):
    """Ask for some quotes at once, each of which takes so long besides [s]: how many were worked out as each began."""

    def ask(number, takes):
        made, lock, running, seen = quoting.make_quote, threading.Lock(), [], []

        def slow(*asked):
            with lock:
                running.append(None)
                seen.append(len(running))
            time.sleep(takes)
            with lock:
                running.pop()
            return made(*asked)

        monkeypatch.setattr(quoting, "make_quote", slow)
        app, answers = app_with(), []
        bodies = [body | {"lines": [{**body["lines"][0], "quantity": n + 1}]} for n in range(number)]
        threads = [
            threading.Thread(target=lambda each=each: answers.append(app.test_client().post("/v1/quotes", json=each)))
            for each in bodies
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert [answer.status_code for answer in answers] == [200] * number
        return seen

    return ask


def test_a_process_works_out_one_quote_after_the_other(ask_at_once, monkeypatch):
    monkeypatch.setattr(quoting, "PATIENCE", 60)
    assert ask_at_once(6, 0.02) == [1] * 6


def test_beside_one_that_takes_long_goes_one_more_at_a_time(ask_at_once, monkeypatch):
    monkeypatch.setattr(quoting, "PATIENCE", 0.05)
    seen = ask_at_once(6, 0.3)
    assert len(seen) == 6
    assert max(seen) == 2


def test_what_cannot_be_bought_gives_its_turn_back(app_with, body):
    client = app_with().test_client()
    body["lines"][0]["parts"][0]["length"] = "15 m"
    for _ in range(3):
        assert client.post("/v1/quotes", json=body).status_code == 422
