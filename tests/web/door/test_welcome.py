"""Whoever was let in has somebody to speak to, also when the door closes in the same moment."""

import asyncio
import os
import resource
import socket
from contextlib import ExitStack, contextmanager, suppress

import pytest

from sawbill.web.door import welcome
from sawbill.web.door.welcome import Welcome


class Greeting(asyncio.Protocol):
    def connection_made(self, transport):
        transport.write(b"come in")
        transport.close()


@contextmanager
def knocking(number):
    """A socket that listens, and clients that have connected to it."""
    with ExitStack() as stack:
        listener = stack.enter_context(socket.create_server(("127.0.0.1", 0)))
        yield (
            listener,
            [stack.enter_context(socket.create_connection(listener.getsockname(), 5)) for _ in range(number)],
        )


@pytest.mark.parametrize("turns", range(5))
def test_nobody_who_knocks_is_lost_when_the_door_closes(turns):
    async def let_in_and_close():
        door = Welcome([listener.dup()], Greeting)
        door.open()
        for _ in range(turns):  # of the event loop: before anybody is let in, while they are, after
            await asyncio.sleep(0)
        await door.close()

    with knocking(10) as (listener, clients):
        asyncio.run(let_in_and_close())
        listener.settimeout(0.1)
        with suppress(TimeoutError), ExitStack() as stack:
            while True:  # the rest are the successor's
                stack.enter_context(listener.accept()[0]).sendall(b"come in")
        assert [client.recv(100) for client in clients] == [b"come in"] * 10


def test_who_knocks_while_there_is_no_room_is_let_in_later(monkeypatch):
    monkeypatch.setattr(welcome, "PAUSE", 0.05)
    usual, hard = resource.getrlimit(resource.RLIMIT_NOFILE)

    async def let_in():
        door = Welcome([listener], Greeting)
        next_one = os.dup(0)
        os.close(next_one)
        resource.setrlimit(resource.RLIMIT_NOFILE, (next_one, hard))
        door.open()
        await asyncio.sleep(0.1)
        clients[0].setblocking(False)
        with pytest.raises(BlockingIOError):
            clients[0].recv(100)
        resource.setrlimit(resource.RLIMIT_NOFILE, (usual, hard))
        clients[0].setblocking(True)
        heard = await asyncio.get_running_loop().run_in_executor(None, clients[0].recv, 100)
        await door.close()
        return heard

    try:
        with knocking(1) as (listener, clients):
            assert asyncio.run(let_in()) == b"come in"
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (usual, hard))
