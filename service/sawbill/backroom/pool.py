"""The engines and who has them: seats for those at work, and a bench for tasks that take long.

A task that has had its seat for a second goes on beside the others, on the bench and only when the machine has nothing
better to do, while another engine takes the seat. The bench is short: where it is full, whoever has most of it gives
up a place. What its time runs out for, or nobody waits for any more, is ended with its engine. Some seats are for
guests alone: else whoever wants one short answer would wait for those who want many long ones.
"""

from __future__ import annotations

import asyncio
import logging
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, Final

from sawbill.backroom.process import Engine
from sawbill.backroom.task import FullError, GoneError, Limits, TookTooLongError
from sawbill.backroom.waiting import Waiting
from sawbill.backroom.wire import Order

MOST_TASKS: Final = 5_000
"""After how many tasks an engine is replaced: whatever it holds on to is let go of."""
SLOW: Final = 2
"""After how many times as long a task gives up its seat to one who waits, though it got less of the processor."""
_LOG: Final = logging.getLogger("sawbill.backroom")


@dataclass(eq=False, slots=True)
class _Turn:
    """A task in the room: given its engine when it is its turn."""

    order: Order
    given: asyncio.Future[Engine]
    began: float = 0.0
    before: float | None = None
    ended: bool = False
    working: asyncio.Task[bytes] | None = None
    seat: asyncio.TimerHandle | None = None


class Pool:
    """The engines of one room; all of it in one event loop."""

    def __init__(self, limits: Limits, prepare: Callable[[], None]) -> None:
        """Prepare: what an engine does first, to be quicker at its first task."""
        self._limits, self._prepare = limits, prepare
        self._waiting: Waiting[_Turn] = Waiting(limits.queue, limits.share)
        self._idle: list[Engine] = []
        self._seated: dict[Engine, _Turn | None] = {}
        self._bench: dict[Engine, _Turn] = {}
        self.counts: Counter[str] = Counter()

    def fill(self) -> None:
        """Have an engine in every seat."""
        while len(self._seated) < self._limits.engines + self._limits.guests:
            engine = Engine.start(self._limits.memory, self._prepare)
            self._seated[engine] = None
            self._idle.append(engine)
            self.counts["started"] += 1
        self._give()

    def empty(self) -> None:
        """End all engines."""
        for engine in [*self._seated, *self._bench]:
            engine.kill()

    def told(self) -> dict[str, int]:
        """Tell how many of what there are, and have been."""
        now = {"waiting": len(self._waiting), "working": len(self._seated) - len(self._idle)}
        return {**self.counts, **now, "benched": len(self._bench)}

    async def run(self, order: Order) -> bytes:
        """Have an engine do a task, and give its answer as it came. Raises RoomError."""
        loop = asyncio.get_running_loop()
        turn, late = _Turn(order, loop.create_future()), loop.time() + order.seconds
        self._waiting.add(turn, order.caller, order.rank)
        self._give()
        try:
            engine = await asyncio.wait_for(turn.given, order.seconds)
        except TimeoutError:
            self._leave(turn)
            raise FullError("its turn did not come in time") from None
        except asyncio.CancelledError:
            self._leave(turn)
            raise
        try:
            return await self._at_work(engine, turn, late)
        finally:
            self._free(engine)

    def _leave(self, turn: _Turn) -> None:
        """Have a task wait no longer; an engine that was given in the same moment is free again."""
        self._waiting.drop(turn, turn.order.caller, turn.order.rank)
        if turn.given.done() and not turn.given.cancelled():
            self._free(turn.given.result())

    def _give(self) -> None:
        """Give engines that have nothing to do to those whose turn it is."""
        while self._idle:
            working = Counter(turn.order.caller for turn in self._turns())
            full = len(self._seated) - len(self._idle) >= self._limits.engines
            turn = self._waiting.guest(working) if full else self._waiting.next(working)
            if turn is None:
                return
            if turn.given.cancelled():
                continue
            engine = self._idle.pop()
            self._seated[engine] = turn
            turn.given.set_result(engine)

    def _turns(self) -> list[_Turn]:
        return [*filter(None, self._seated.values()), *self._bench.values()]

    async def _at_work(self, engine: Engine, turn: _Turn, late: float) -> bytes:
        loop = asyncio.get_running_loop()
        turn.began, turn.working = loop.time(), asyncio.ensure_future(engine.ask(turn.order))
        turn.seat = loop.call_later(self._limits.seat / 4, self._look, engine, turn)
        outcome = "ended"
        _tell("begins", turn.order, engine)
        try:
            return await asyncio.wait_for(asyncio.shield(turn.working), late - loop.time())
        except TimeoutError:
            outcome = "took too long"
            self.counts["late"] += 1
            raise TookTooLongError(f"it was ended after {order_seconds(turn.order)} s") from None
        except asyncio.CancelledError:
            outcome = "nobody waits for it"
            if not turn.ended:
                self.counts["left"] += 1
                raise
            outcome = "made room for others"
            self.counts["crowded"] += 1
            raise TookTooLongError("it took long, and others did too") from None
        except (EOFError, OSError):
            outcome = "its engine died"
            self.counts["died"] += 1
            raise GoneError("its engine died") from None
        finally:
            if turn.seat is not None:
                turn.seat.cancel()
            if not turn.working.done() or turn.working.cancelled() or turn.working.exception():
                engine.kill()
                turn.working.cancel()
            _tell(outcome, turn.order, engine, seconds=round(loop.time() - turn.began, 3))

    def _look(self, engine: Engine, turn: _Turn) -> None:
        """See whether a task has had its time on a seat: that of the processor, as far as it gets any."""
        loop, seat, worked = asyncio.get_running_loop(), self._limits.seat, engine.worked()
        if turn.before is None:  # most are done before anybody looks: this takes that it was at work until now
            turn.before = worked - (loop.time() - turn.began)
        left = seat - (worked - turn.before)
        slow = loop.time() - turn.began >= seat * SLOW and len(self._waiting) > 0
        if left <= 0 or (slow and len(self._bench) < self._limits.bench):
            self._unseat(engine, turn)
        else:
            turn.seat = loop.call_later(max(left, seat / 20), self._look, engine, turn)

    def _unseat(self, engine: Engine, turn: _Turn) -> None:
        """Put a task that takes long onto the bench, and another engine into its seat."""
        if self._seated.get(engine) is not turn:
            return
        if len(self._bench) >= self._limits.bench and (not self._limits.bench or self._make_room(turn) is turn):
            turn.ended = True
            _cancel(turn)
            return
        del self._seated[engine]
        self._bench[engine] = turn
        engine.slow()
        self.counts["unseated"] += 1
        self.fill()

    def _make_room(self, newcomer: _Turn) -> _Turn:
        """Choose who gives way on a full bench: of the caller who would have most of it, the first who came."""
        turns = [*self._bench.values(), newcomer]
        held = Counter(turn.order.caller for turn in turns)
        most = max(held.values())
        first = min((turn for turn in turns if held[turn.order.caller] == most), key=lambda turn: turn.began)
        chosen = newcomer if most == 1 else first
        if chosen is not newcomer:
            engine = next(engine for engine, turn in self._bench.items() if turn is chosen)
            del self._bench[engine]
            chosen.ended = True
            _cancel(chosen)
        return chosen

    def _free(self, engine: Engine) -> None:
        """Take back an engine whose task has ended: one that sat on the bench, or died, or is worn goes."""
        benched = self._bench.pop(engine, None) is not None
        seated = engine in self._seated
        if seated and engine.alive and engine.tasks < MOST_TASKS:
            self._seated[engine] = None
            self._idle.append(engine)
            self._give()
            return
        engine.kill()
        if seated and not benched:
            del self._seated[engine]
            self.fill()


def order_seconds(order: Order) -> float:
    """How long a task may take [s], as it is told."""
    return round(order.seconds, 1)


def _cancel(turn: _Turn) -> None:
    if turn.working is not None:
        turn.working.cancel()


def _tell(what: str, order: Order, engine: Engine, **more: Any) -> None:
    with suppress(OSError):
        _LOG.info("work %s", what, extra={"fields": {"task": order.label, "engine": engine.pid, **more}})
