"""Answers in fewer bytes: the same answers, to those who take them so."""

import gzip

import pytest

GZIP = {"Accept-Encoding": "gzip, deflate, br"}


@pytest.mark.parametrize("address", ["/openapi.json", "/style.css", "/guide", "/v1/mattresses.csv", "/v1/designs"])
def test_a_client_that_takes_gzip_gets_the_same_in_half_of_the_bytes(client, address):
    plain, packed = client.get(address), client.get(address, headers=GZIP)
    assert packed.headers["Content-Encoding"] == "gzip" and "Content-Encoding" not in plain.headers
    assert gzip.decompress(packed.data) == plain.data
    assert 2 * len(packed.data) < len(plain.data) and packed.content_length == len(packed.data)
    for answer in (plain, packed):
        assert "Accept-Encoding" in answer.vary


@pytest.mark.parametrize("taken", ["", "identity", "gzip;q=0", "br", "identity, gzip;q=0.5"])
def test_who_does_not_ask_for_gzip_gets_plain_bytes(client, taken):
    assert "Content-Encoding" not in client.get("/openapi.json", headers={"Accept-Encoding": taken}).headers


@pytest.mark.parametrize(
    "address", ["/healthz", "/v1/mattresses.xlsx", "/v1/price-books/sample-inch", "/v1/price-books/sample-inch.zip"]
)
def test_what_is_short_or_packed_already_or_known_by_its_bytes_goes_as_it_is(client, address):
    answer = client.get(address, headers=GZIP)
    assert answer.status_code == 200 and "Content-Encoding" not in answer.headers


def test_what_a_client_has_packed_is_not_sent_again(client):
    address = "/v1/designs/table/quote?price_book=sample-inch"
    packed = client.get(address, headers=GZIP)
    assert packed.headers["ETag"].startswith('W/"'), "the same answer, but not the same bytes"
    again = client.get(address, headers={**GZIP, "If-None-Match": packed.headers["ETag"]})
    assert again.status_code == 304 and not again.data and "Accept-Encoding" in again.vary
    assert client.get(address, headers={"If-None-Match": packed.headers["ETag"]}).status_code == 304


def test_a_packed_answer_is_the_same_bytes_each_time(client):
    first, second = (client.get("/openapi.json", headers=GZIP).data for _ in range(2))
    assert first == second
