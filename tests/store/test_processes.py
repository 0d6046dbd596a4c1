"""Several processes on one store, on both databases: what they share holds, and any may be killed at any moment.

Those marked `long` kill as often as it takes to meet the rare moment: `sh .ci/test -m long`.
"""

import random
import signal
import time
from collections.abc import Callable
from typing import Any

import pytest
from tests.store.conftest import KEEPER
from tests.store.together import FORKS
from tests.store.writers import add_by_one_key, check_tokens, die_before_commit, read_book, spend, write_on

from sawbill.prices.pricebook import PriceBook, canonical
from sawbill.store import Allowance, BookEntry, IdempotencyKey, NewQuote, Store

Books = Callable[..., PriceBook]
Quotes = Callable[..., NewQuote]

BOTH_LONG = [pytest.param(name, marks=pytest.mark.long) for name in ("sqlite", "postgresql")]


def _told_by_two(work: Callable[..., None], *words: Any) -> list[Any]:
    """Let two processes do the same at once, and give what each told."""
    pipes = [FORKS.Pipe(duplex=False) for _ in range(2)]
    processes = [FORKS.Process(target=work, args=(*words, mouth)) for _, mouth in pipes]
    for process in processes:
        process.start()
    told = [ears.recv() for ears, _ in pipes]
    for process in processes:
        process.join()
    return told


def test_one_key_makes_one_quote_whichever_process_it_comes_to(
    where: str, store: Store, book: Books, a_quote: Quotes
) -> None:
    told = _told_by_two(add_by_one_key, where, a_quote(), canonical(book()), 25)
    assert [failed for _, failed in told] == [[], []]
    kept = [one for done, _ in told for one in done]
    assert len(kept) == 50
    assert sum(one.new for one in kept) == 1
    assert {one.quote.summary.id for one in kept} == {quote.id for quote in store.quotes.list(None).quotes}


def test_one_allowance_is_spent_by_all_processes_together(where: str, store: Store) -> None:
    assert sum(_told_by_two(spend, where, 60, Allowance(units=70, seconds=86_400))) == 70


def test_a_token_that_one_process_makes_or_revokes_holds_in_the_others_at_once(where: str, store: Store) -> None:
    mine, theirs = FORKS.Pipe()
    other = FORKS.Process(target=check_tokens, args=(where, theirs))
    other.start()
    for _ in range(5):
        token, secret = store.tokens.make("anna", "laptop", ["quote"])
        mine.send(secret)
        assert mine.recv() == token.id
        store.tokens.revoke(token.id)
        mine.send(secret)
        assert mine.recv() == "TokenRefusedError"
    mine.send(None)
    other.join()


def test_whatever_was_acknowledged_outlives_a_kill_and_nothing_is_half_there(
    where: str, store: Store, book: Books, a_quote: Quotes
) -> None:
    assert _kill_writers(where, store, book, a_quote, kills=40, seconds=8) > 3, "a slow machine gets through few"


@pytest.mark.parametrize("where", BOTH_LONG, indirect=True)
def test_whatever_was_acknowledged_outlives_500_kills(where: str, store: Store, book: Books, a_quote: Quotes) -> None:
    assert _kill_writers(where, store, book, a_quote, kills=500, seconds=900) == 500


def _kill_writers(where: str, store: Store, book: Books, a_quote: Quotes, kills: int, seconds: float) -> int:
    """Kill writers, two at a time, look through all they told, and give how many were killed: as many, or as long."""
    chance = random.Random(20260301)
    quote, books = a_quote(result=b"x" * 20_000), [canonical(book(f"4.{i:02}")) for i in range(3)]
    acknowledged: dict[str, list[Any]] = {}
    end = time.monotonic() + seconds
    while len(acknowledged) < kills and time.monotonic() < end:
        names = [f"w{len(acknowledged) + side}" for side in range(2)]
        pipes = [FORKS.Pipe(duplex=False) for _ in names]
        writers = [
            FORKS.Process(target=write_on, args=(where, name, quote, books, mouth))
            for name, (_, mouth) in zip(names, pipes, strict=True)
        ]
        for writer, (_, mouth) in zip(writers, pipes, strict=True):
            writer.start()
            mouth.close()
        for writer, name, (ears, _) in zip(writers, names, pipes, strict=True):
            acknowledged[name] = [ears.recv()[1]]  # it has begun
            time.sleep(chance.random() * 0.06)
            writer.kill()
        for writer, name, (ears, _) in zip(writers, names, pipes, strict=True):
            writer.join()
            assert writer.exitcode == -signal.SIGKILL
            acknowledged[name] += _rest(ears)
            ears.close()
    for name, told in acknowledged.items():
        _look_through(store, name, told, quote, book())
    assert len(store.quotes.list(None, most=10**6).quotes) == sum(_quotes(told) + 1 for told in acknowledged.values())
    if "://" not in where:
        assert store.faults() == []
    return len(acknowledged)


def _look_through(store: Store, name: str, told: list[Any], quote: NewQuote, book: PriceBook) -> None:
    """See that all a killed writer told is there, and that the request it was at can be sent again."""
    for each in told:
        if isinstance(each, BookEntry):
            assert store.books.history(name, KEEPER, before=each.sequence + 1, most=1)[0].revision == each.revision
            assert store.books.content(name, each.revision, KEEPER)
        else:
            assert store.quotes.get(each, "anna").result == quote.result
    last = [each for each in told if isinstance(each, str)][-1]
    for number, new in ((_quotes(told) - 1, {False}), (_quotes(told), {True, False})):
        kept = store.quotes.add(quote, book, IdempotencyKey(f"{name}-{number}", quote.request))
        assert kept.new in new
        assert (kept.quote.summary.id == last) == (number < _quotes(told))
    history = (
        store.books.history(name, KEEPER, most=10**6)
        if any(entry.name == name for entry in store.books.list(KEEPER))
        else ()
    )
    assert [entry.sequence for entry in history] == list(range(len(history), 0, -1))


def _quotes(told: list[Any]) -> int:
    return sum(isinstance(each, str) for each in told)


def _rest(ears: Any) -> list[Any]:
    """What was told before the end, which a kill may have cut short."""
    told = []
    while True:
        try:
            told.append(ears.recv()[1])
        except EOFError:
            return told


def test_whoever_is_killed_between_the_key_and_the_commit_can_send_again_and_has_one_quote(
    where: str, store: Store, book: Books, a_quote: Quotes
) -> None:
    _kill_between_key_and_commit(where, store, canonical(book()), a_quote(result=b"x" * 20_000), kills=9)


@pytest.mark.parametrize("where", BOTH_LONG, indirect=True)
def test_200_who_are_killed_between_the_key_and_the_commit_have_one_quote_each(
    where: str, store: Store, book: Books, a_quote: Quotes
) -> None:
    _kill_between_key_and_commit(where, store, canonical(book()), a_quote(result=b"x" * 20_000), kills=200)


def _kill_between_key_and_commit(where: str, store: Store, book: bytes, quote: NewQuote, kills: int) -> None:
    """Kill after each step in turn that comes between the two, and send each request again."""
    steps = _add_and_die(where, quote, book, "whole", -1)
    assert steps is not None and steps >= 2, "the key, the quote, the commit"
    for number in range(kills):
        assert _add_and_die(where, quote, book, f"key {number}", number % (steps + 1)) is None
        assert len(store.quotes.list(None, most=10**6).quotes) == number + 1, "nothing of it is there"
        key = IdempotencyKey(f"key {number}", quote.request)
        first, again = (store.quotes.add(quote, read_book("yard", book), key) for _ in range(2))
        assert (first.new, again.new) == (True, False)
        assert first.quote == again.quote
    assert len(store.quotes.list(None, most=10**6).quotes) == kills + 1


def _add_and_die(where: str, quote: NewQuote, book: bytes, key: str, step: int) -> int | None:
    """Give how many steps it told of, None: it was killed before."""
    ears, mouth = FORKS.Pipe(duplex=False)
    writer = FORKS.Process(target=die_before_commit, args=(where, quote, book, key, step, mouth))
    writer.start()
    mouth.close()
    writer.join()
    with ears:
        if writer.exitcode == -signal.SIGKILL:
            return None
        assert writer.exitcode == 0
        told = ears.recv()
        assert isinstance(told, int)
        return told


@pytest.mark.postgresql
def test_what_was_acknowledged_outlives_a_crash_of_the_server(server: Any, book: Books, a_quote: Quotes) -> None:
    where = server.database()
    with Store.open(where) as store:
        store.migrate()
        kept = [store.quotes.add(a_quote(), book()).quote for _ in range(20)]
        server.stop()
        server.start()
        assert [store.quotes.get(quote.summary.id, "anna") for quote in kept] == kept, (
            "by the same store: it reconnects"
        )
