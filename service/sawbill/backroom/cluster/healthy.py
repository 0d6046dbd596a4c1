"""Ask a cluster's scheduler whether it answers: `python -m sawbill.backroom.cluster.healthy tls://127.0.0.1:8786`.

It asks in the scheduler's own language, with the certificates that the environment names for it: a plain connection
would be a fault in the log of one that speaks TLS. It ends with 0 when it answers, else with 1 and the reason.
"""

from __future__ import annotations

import asyncio
import sys
from typing import Final

from distributed import Security
from distributed.core import rpc

PATIENCE: Final = 10.0
"""How long it waits for the answer [s]."""


def fault(address: str) -> str | None:
    """Tell why the scheduler at an address is not healthy; None: it is."""
    try:
        told = asyncio.run(asyncio.wait_for(_identity(address), PATIENCE))
    except (OSError, TimeoutError, ValueError, TypeError) as error:  # of the last kind where it has no certificate
        return f"the scheduler at {address} does not answer: {error!r}"
    return None if told == "Scheduler" else f"at {address} is a {told}; it must be a Scheduler"


async def _identity(address: str) -> object:
    """Have it tell what it is. Raises OSError, TimeoutError, or ValueError: the address is none."""
    connection = Security().get_connection_args("scheduler")  # type: ignore[no-untyped-call]  # Dask has no types here
    async with rpc(address, connection_args=connection, timeout=PATIENCE) as scheduler:  # type: ignore[no-untyped-call]
        return (await scheduler.identity())["type"]


if __name__ == "__main__":
    sys.exit(fault(sys.argv[1]))
