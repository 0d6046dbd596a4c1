"""Sessions of browsers: what opens, what does not, and that no secret is kept, on both databases."""

from datetime import timedelta
from pathlib import Path

import pytest
from tests.store.conftest import Clock

from sawbill.store import Store, TokenRefusedError
from sawbill.store.kept.sessions import LASTS, MOST_OPEN


def shut(store: Store, secret: str) -> bool:
    try:
        store.sessions.check(secret)
    except TokenRefusedError:
        return True
    return False


def test_a_session_opens_what_its_token_opens_under_a_secret_of_its_own(store: Store) -> None:
    token, secret = store.tokens.make("anna", "laptop", ["quote"])
    session, own = store.sessions.begin(secret, over_tls=True)
    assert store.sessions.check(own) == session
    assert (session.token, session.over_tls, own == secret) == (token, True, False)
    with pytest.raises(TokenRefusedError):
        store.tokens.check(own)
    assert shut(store, secret)
    with pytest.raises(TokenRefusedError):
        store.sessions.begin(own, over_tls=True)


def test_a_session_is_over_when_its_token_is_or_after_a_while_or_when_it_is_ended(store: Store, clock: Clock) -> None:
    revoked, one = store.tokens.make("anna", "one", ["quote"])
    _, two = store.tokens.make("anna", "two", ["quote"], clock.now + timedelta(hours=1))
    _, three = store.tokens.make("anna", "three", ["quote"])
    of_revoked, of_ending, of_lasting, left = (
        store.sessions.begin(secret, over_tls=False)[1] for secret in (one, two, three, three)
    )
    store.sessions.end(left)
    store.tokens.revoke(revoked.id)
    clock.move(hours=1, microseconds=-1)
    assert [shut(store, each) for each in (of_revoked, of_ending, of_lasting, left)] == [True, False, False, True]
    clock.move(microseconds=1)
    assert shut(store, of_ending)
    clock.move(seconds=(LASTS - timedelta(hours=1)).total_seconds())
    assert shut(store, of_lasting)
    with pytest.raises(TokenRefusedError):
        store.sessions.begin(one, over_tls=False)


def test_signing_in_again_ends_the_session_at_hand_and_too_many_end_the_oldest(store: Store, clock: Clock) -> None:
    _, secret = store.tokens.make("anna", "laptop", ["quote"])
    _, other = store.tokens.make("ben", "phone", ["quote"])
    bens = store.sessions.begin(other, over_tls=False)[1]
    before = store.sessions.begin(secret, over_tls=False)[1]
    after = store.sessions.begin(secret, over_tls=False, instead_of=before)[1]
    assert (shut(store, before), shut(store, after)) == (True, False)
    opened = []
    for _ in range(MOST_OPEN):
        clock.move(seconds=1)
        opened.append(store.sessions.begin(secret, over_tls=False)[1])
    assert shut(store, after)
    assert not any(shut(store, each) for each in [*opened, bens])


def test_no_text_but_the_very_secret_opens(store: Store) -> None:
    _, own = store.sessions.begin(store.tokens.make("anna", "laptop", ["quote"])[1], over_tls=False)
    assert all(shut(store, text) for text in (own.swapcase(), own[:-1], own + "A", "", "\0", "é" * 43, "' OR 1=1 --"))


def test_no_secret_of_a_session_is_in_the_files_of_the_store(folder: Path) -> None:
    with Store.open(folder) as store:
        _, own = store.sessions.begin(store.tokens.make("anna", "laptop", ["quote"])[1], over_tls=False)
        held = b"".join(path.read_bytes() for path in folder.iterdir())
    assert own.removeprefix("sawbill_").encode() not in held
