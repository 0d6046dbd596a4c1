"""Who is signed in: what his cookie opens and what it does not, tried as somebody would who is not him."""

import re
from dataclasses import replace

import pytest
from tests.web.browsing import Browser, Forms
from tests.web.guarded import Kept, addresses

from sawbill.store import Who
from sawbill.web.admission.sessions import COOKIE, TLS_COOKIE
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings

ROOT = Who("", everything=True)
APP = create_app(Settings())
FORMS = [
    each
    for each in addresses(APP)
    if each.method == "POST"
    and any(
        rule.rule == each.rule
        and "POST" in rule.methods
        and getattr(APP.view_functions[rule.endpoint], "by_form", False)
        for rule in APP.url_map.iter_rules()
    )
]
CHANGING = [each for each in addresses(APP) if each.rule.startswith("/v1/") and each.method != "GET"]
FORGED = {
    "no origin": {},
    "a hidden origin": {"Origin": "null"},
    "another site": {"Origin": "https://evil.example", "Sec-Fetch-Site": "cross-site"},
    "a site that is named alike": {"Origin": "http://localhost.evil.example"},
    "another port of this machine": {"Origin": "http://localhost:3000", "Sec-Fetch-Site": "same-site"},
    "a browser that tells on it": {"Origin": "http://localhost", "Sec-Fetch-Site": "cross-site"},
}
HERE = {"Origin": "http://localhost", "Sec-Fetch-Site": "same-origin"}


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    return Kept(tmp_path_factory.mktemp("kept"))


@pytest.fixture
def anna(kept):
    """Anna, signed in with all that she may need."""
    browser = Browser(kept.app)
    assert browser.sign_in(kept.secret("anna", "quote", "price-book")).status_code == 200
    return browser


@pytest.fixture(scope="module")
def settled(kept):
    """Anna, signed in once for many tests, none of which gets anywhere."""
    browser = Browser(kept.app)
    browser.sign_in(kept.secret("anna", "quote", "price-book"))
    return browser


def named(each):
    return f"{each.method} {each.rule}"


def cookie_of(answer):
    """The words of the cookie that an answer sets."""
    (text,) = answer.headers.getlist("Set-Cookie")
    return [word.strip() for word in text.split(";")]


def key_of(page):
    return re.search(r'name="form_key" value="(\w+)"', page.text)[1]


# ---- the cookie


def test_the_cookie_is_kept_from_scripts_and_other_sites_and_holds_no_token(kept):
    secret = kept.secret("anna", "quote")
    answer = kept.client().post("/sign-in", data={"token": f" {secret}\n"}, headers=HERE)
    first, *words = cookie_of(answer)
    assert sorted(words) == ["HttpOnly", "Path=/", "SameSite=Lax"], "no Domain, and no longer than the browser runs"
    name, _, value = first.partition("=")
    assert name == COOKIE and value != secret and len(value) >= 43
    assert secret not in answer.text + str(answer.headers)


def test_over_tls_the_cookie_is_bound_to_this_host_and_to_tls(kept):
    answer = kept.client().post(
        "/sign-in", data={"token": kept.secret("anna")}, headers={"Origin": "https://localhost"}
    )
    first, *words = cookie_of(answer)
    assert first.startswith(f"{TLS_COOKIE}=") and "Secure" in words and "Path=/" in words
    other = kept.client()
    other.set_cookie(COOKIE, first.partition("=")[2])
    assert other.get("/kept").status_code == 401, "nobody on the way can plant it under the other name"
    other.set_cookie(TLS_COOKIE, first.partition("=")[2])
    assert other.get("/kept").status_code == 200


def test_signing_in_anew_ends_the_session_before(kept, anna):
    before = anna.cookies()[COOKIE]
    anna.post("/sign-in", {"token": kept.secret("ben")})
    assert anna.cookies()[COOKIE] != before
    assert "Kept for ben" in anna.open("/kept").text
    assert with_cookie(kept, before).get("/kept").status_code == 401


def with_cookie(kept, value):
    client = kept.client()
    client.set_cookie(COOKIE, value)
    return client


def test_signing_out_ends_it_for_whoever_has_a_copy_too(kept, anna):
    copied = anna.cookies()[COOKIE]
    assert with_cookie(kept, copied).get("/kept").status_code == 200
    anna.submit(anna.open("/kept"), "/sign-out")
    assert COOKIE not in anna.cookies()
    assert with_cookie(kept, copied).get("/kept").status_code == 401


def test_a_revoked_token_ends_its_sessions(kept):
    token, secret = kept.store.tokens.make("cid", "phone", ["quote"])
    browser = Browser(kept.app)
    browser.sign_in(secret)
    page = browser.open("/kept")
    assert page.status_code == 200
    kept.store.tokens.revoke(token.id)
    assert browser.open("/kept").status_code == 401
    assert browser.open("/v1/quotes").status_code == 401
    assert browser.post("/kept/price-books", {"form_key": key_of(page)}).status_code == 401


@pytest.mark.parametrize("action", ["keep-from", "let", "delete"])
def test_a_form_with_what_nobody_can_be_called_is_refused(anna, annas, action):
    fields = {"form_key": key_of(anna.open("/kept")), "to": "b\0n", "revision": "\0", "whom": "owner", "called": "b\0n"}
    refused = anna.post(f"/kept/price-books/annas-book/{action}", {**fields, "may": "read"})
    assert 400 <= refused.status_code < 500 and "Go back" in refused.text


@pytest.mark.parametrize("value", ["", "x", "sawbill_" + "A" * 43, "é", "sawbill_%00", "'; --"])
def test_a_cookie_that_opens_nothing_is_as_none(kept, value):
    client = kept.client()
    client.environ_base["HTTP_COOKIE"] = f"{COOKIE}={value}"
    assert client.get("/kept").status_code == 401
    assert client.get("/").status_code == 200


def test_a_problem_says_names_as_they_are_written(anna):
    answer = anna.open("/sign-out")
    assert answer.status_code == 405 and "GET is not allowed here; send POST" in answer.text


# ---- signing in


@pytest.mark.parametrize("secret", ["", "sawbill_" + "A" * 43, "<script>alert(1)</script>"])
def test_a_token_that_opens_nothing_is_asked_for_again(tmp_path, secret):
    browser = Browser(Kept(tmp_path).app)
    answer = browser.sign_in(secret)
    assert answer.status_code == 401 and "not valid" in answer.text
    assert "<script>" not in answer.text and not browser.cookies()


def test_tokens_cannot_be_tried_without_end(tmp_path):
    browser = Browser(Kept(tmp_path).app)
    told = [browser.post("/sign-in", {"token": "sawbill_" + "A" * 43}).status_code for _ in range(25)]
    assert told[0] == 401 and told[-1] == 429


@pytest.mark.parametrize(
    "to", ["//evil.example", "https://evil.example", "/\\evil.example", "/\t/evil.example", "javascript:alert(1)", ""]
)
def test_signing_in_leads_nowhere_else(kept, to):
    answer = kept.client().post("/sign-in", data={"token": kept.secret("anna"), "to": to}, headers=HERE)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/kept")


def test_who_is_asked_to_sign_in_goes_on_to_where_he_wanted(kept):
    browser = Browser(kept.app)
    asked = browser.open("/v1/quotes.html?label=guest+%26+more")
    assert asked.status_code == 401 and asked.headers["WWW-Authenticate"].startswith("Bearer")
    answer = browser.submit(asked, "/sign-in", token=kept.secret("anna"))
    assert answer.status_code == 200 and 'value="guest &amp; more"' in answer.text


def test_a_token_in_an_address_is_refused_here_too(kept):
    assert kept.client().get(f"/sign-in?token={kept.secret('anna')}").status_code == 400


# ---- what a cookie opens


def test_every_form_takes_part_in_these_tests():
    assert {each.rule for each in FORMS} >= {"/sign-in", "/sign-out", "/designs/<design>/keep", "/kept/price-books"}
    assert len(FORMS) >= 13


@pytest.fixture(scope="module")
def annas(kept):
    """What anna keeps, by the names in addresses: a price book, a quote, a job."""
    as_anna = kept.as_("anna", "quote", "price-book")
    as_anna.put("/v1/price-books/annas-book?copy=sample-inch", headers={"If-None-Match": "*"})
    asked = {"price_book": "sample-inch", "lines": [{"parts": [{"section": "2x4", "length": "3 ft", "quantity": 1}]}]}
    quote_id = as_anna.post("/v1/quotes", json=asked).headers["Location"].rpartition("/")[2]
    job = kept.store.jobs.add("comparison", "anna", b"{}")
    return {"name": "annas-book", "quote_id": quote_id, "job_id": job.id}


def all_of(kept):
    """All that is kept of anybody's, as it is told."""
    store = kept.store
    rights = [store.rights.of(each.name, ROOT) for each in store.books.list(ROOT)]
    jobs = [each.id for each in store.jobs.list(None)]
    return store.quotes.list(None), store.books.list(ROOT), store.books.deleted(ROOT), rights, jobs


@pytest.mark.parametrize("address", FORMS, ids=named)
def test_a_form_from_anywhere_else_changes_nothing(kept, settled, annas, address):
    before, cookies = all_of(kept), settled.cookies()
    data = {
        "form_key": key_of(settled.open("/kept")),
        "sure": "yes",
        "label": "forged",
        "to": "all",
        "copy": "annas-book",
    }
    for forged in FORGED.values():
        answer = settled.client.post(address.path(**annas), data=data, headers=forged)
        assert answer.status_code == 403 and "page of this service" in answer.text
    assert (all_of(kept), settled.cookies()) == (before, cookies)


@pytest.mark.parametrize("address", [each for each in FORMS if each.rule != "/sign-in"], ids=named)
def test_a_form_without_the_key_of_its_own_session_changes_nothing(kept, settled, annas, address):
    other = Browser(kept.app)
    other.sign_in(kept.secret("anna", "quote", "price-book"))
    before, cookies = all_of(kept), settled.cookies()
    for key in ({}, {"form_key": "0" * 64}, {"form_key": "é"}, {"form_key": key_of(other.open("/kept"))}):
        data = {"sure": "yes", "label": "forged", "copy": "annas-book", "name": "forged", **key}
        assert settled.client.post(address.path(**annas), data=data, headers=HERE).status_code == 403
    assert (all_of(kept), settled.cookies()) == (before, cookies)


@pytest.mark.parametrize("address", CHANGING, ids=named)
def test_the_interface_for_programs_takes_no_cookie_for_what_it_changes(kept, settled, annas, address):
    before = all_of(kept)
    key = {"form_key": key_of(settled.open("/kept"))}
    for sent in ({"json": {"label": "x", **key}}, {"data": key}):
        status = settled.client.open(address.path(**annas), method=address.method, headers=HERE, **sent).status_code
        assert status == 401 if address.access != "read" else status >= 400
    assert all_of(kept) == before


def test_who_is_signed_in_may_ask_by_form_where_reading_takes_a_token(tmp_path, inch):
    kept = Kept(tmp_path, reading="token")
    kept.store.books.put(replace(inch, name="annas-own"), None, Who("anna"))
    anna = Browser(kept.app)
    anna.sign_in(kept.secret("anna", "quote"))
    fields = {"price_book": "annas-own", "pieces": "2, 2x4, 20 in, leg"}

    def sent(path, site):
        # A page without a form that changes something hides its address, and with it the origin of its form.
        headers = {"Origin": "null", "Sec-Fetch-Site": site}
        return anna.client.post(path, data=fields, content_type="multipart/form-data", headers=headers)

    assert sent("/designs/bench", "same-origin").status_code == 303
    planned = sent("/cutting", "same-origin")
    assert planned.status_code == 200 and "How to cut your pieces" in planned.text
    for elsewhere in ("cross-site", "same-site"):
        assert {sent(path, elsewhere).status_code for path in ("/designs/bench", "/cutting")} == {401}


def test_a_cookie_gives_no_more_than_the_scopes_of_its_token(kept, annas):
    browser = Browser(kept.app)
    browser.sign_in(kept.secret("anna", "read"))
    page = browser.open(f"/kept/quotes/{annas['quote_id']}")
    assert page.status_code == 200
    assert not [to for to, method, _ in Forms(page.text).found if method == "post" and to != "/sign-out"]
    key = {"form_key": key_of(page), "sure": "yes"}
    refused = browser.post(f"/kept/quotes/{annas['quote_id']}/delete", key)
    assert refused.status_code == 403 and "scope" in refused.headers["WWW-Authenticate"]
    assert browser.post("/kept/price-books/annas-book/delete", key).status_code == 403
    assert browser.open("/metrics").status_code == 403


@pytest.mark.parametrize(
    "path",
    ["/kept/quotes/{quote_id}", "/v1/quotes/{quote_id}.html", "/v1/quotes/{quote_id}/drift.html", "/kept/jobs/{job_id}",
     "/kept/price-books/{name}", "/v1/price-books/{name}/changes.html?from=0", "/v1/quotes/{quote_id}/cut-list.csv"],
)  # fmt: skip
def test_what_is_anothers_is_as_if_it_were_not_there(kept, annas, path):
    ben = Browser(kept.app)
    ben.sign_in(kept.secret("ben", "quote", "price-book"))
    there = ben.open(path.format(**annas))
    nothing = {"quote_id": "0" * 20, "job_id": "0" * 20, "name": "annas-bookx"}
    assert there.status_code == 404
    told = (there.text.replace("annas-book", ""), ben.open(path.format(**nothing)).text.replace("annas-bookx", ""))
    assert told[0] == told[1]
    assert annas["quote_id"] not in ben.open("/v1/quotes.html").text
    assert "annas-book" not in ben.open("/kept").text


def test_a_token_in_the_header_goes_before_a_cookie(kept, anna, annas):
    secret = kept.secret("ben", "quote")
    answer = anna.client.get("/v1/quotes.json", headers={"Authorization": f"Bearer {secret}"})
    assert answer.json["quotes"] == []


# ---- what is between


def test_nothing_between_keeps_for_others_what_a_cookie_opened(kept, anna, annas):
    for path in ("/kept", "/v1/quotes", "/v1/price-books", "/v1/price-books/annas-book.csv", "/v1/designs", "/metrics"):
        answer = anna.open(path)
        directives = answer.headers["Cache-Control"].replace(" ", "").split(",")
        assert {"private", "no-store"} & set(directives) and "public" not in directives, path
        assert "Cookie" in answer.vary, path
        assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert anna.open("/style.css").headers["Cache-Control"].startswith("public")


def test_pages_with_forms_are_kept_by_nobody_framed_by_nobody_and_tell_their_origin(kept, anna):
    for page in (Browser(kept.app).open("/sign-in"), Browser(kept.app).open("/kept"), anna.open("/kept")):
        assert page.headers["Cache-Control"] == "no-store"
        assert page.headers["Referrer-Policy"] == "same-origin"
        assert "frame-ancestors 'none'" in page.headers["Content-Security-Policy"]
    assert Browser(kept.app).open("/").headers["Referrer-Policy"] == "no-referrer"


# ---- alone on one's own machine


def test_alone_on_ones_own_machine_nobody_signs_in_and_no_page_elsewhere_gets_in(tmp_path):
    alone = Kept(tmp_path, local=True)
    browser = Browser(alone.app)
    assert "Nobody needs to sign in here" in browser.open("/sign-in").text
    page = browser.open("/kept")
    assert page.status_code == 200 and "form_key" not in page.text and "/sign-out" not in page.text
    for forged in FORGED.values():
        answer = browser.post("/kept/price-books", {"name": "forged", "copy": "sample-inch"}, forged)
        assert answer.status_code in (401, 403)
    assert alone.store.books.list(ROOT) == ()
    assert browser.submit(page, "/kept/price-books", name="mine", copy="sample-inch").status_code == 200
    assert [each.owner for each in alone.store.books.list(ROOT)] == ["local"]
    rebound = Browser(alone.app, host="evil.example")
    assert rebound.open("/kept").status_code == 401
