"""Working quotes out: how many at once."""

import threading
import time

from sawbill.web import quoting
from sawbill.web.quoting import AT_ONCE


def test_a_process_works_out_few_quotes_at_once_and_the_others_wait_their_turn(app_with, body, monkeypatch):
    made, lock, running, seen = quoting.make_quote, threading.Lock(), [], []

    def slow(*asked):
        with lock:
            running.append(None)
            seen.append(len(running))
        time.sleep(0.05)
        with lock:
            running.pop()
        return made(*asked)

    monkeypatch.setattr(quoting, "make_quote", slow)
    app, answers = app_with(), []
    bodies = [body | {"lines": [{**body["lines"][0], "quantity": n}]} for n in range(1, 3 * AT_ONCE + 1)]
    threads = [
        threading.Thread(target=lambda each=each: answers.append(app.test_client().post("/v1/quotes", json=each)))
        for each in bodies
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert {answer.status_code for answer in answers} == {200}
    assert len(seen) == len(bodies)
    assert max(seen) == AT_ONCE


def test_what_cannot_be_bought_gives_its_turn_back(app_with, body):
    client = app_with().test_client()
    body["lines"][0]["parts"][0]["length"] = "15 m"
    for _ in range(AT_ONCE + 1):
        assert client.post("/v1/quotes", json=body).status_code == 422
