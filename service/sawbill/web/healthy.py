"""Ask the service on this machine whether it answers: `python -m sawbill.web.healthy [PORT]`, else on SAWBILL_PORT.

What the container's health check runs, so it imports nothing that takes long. It ends with 0 when /healthz answers
200, else with 1 and the reason.
"""

from __future__ import annotations

import http.client
import os
import sys
from collections.abc import Mapping
from typing import Final

USUAL_PORT: Final = 8000
PORT: Final = "SAWBILL_PORT"
"""The variable that names another, which the service listens on too."""
PATIENCE: Final = 3
"""How long it waits for the answer [s]."""


def fault(port: int, environment: Mapping[str, str]) -> str | None:
    """Tell why the service is not healthy; None: it is."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    try:
        connection.request("GET", "/healthz", headers={"Host": _host(environment)})
        status = connection.getresponse().status
    except (OSError, http.client.HTTPException) as error:
        return f"port {port} does not answer: {error!r}"
    finally:
        connection.close()
    return None if status == http.HTTPStatus.OK else f"/healthz on port {port} answers {status}; it must be 200"


def _host(environment: Mapping[str, str]) -> str:
    """A name that the service answers to: where hosts are named, it refuses its own loopback address."""
    first = environment.get("SAWBILL_TRUSTED_HOSTS", "").split(",")[0].strip().removeprefix(".")
    return first or "localhost"


if __name__ == "__main__":
    sys.exit(fault(int(sys.argv[1] if len(sys.argv) > 1 else os.environ.get(PORT) or USUAL_PORT), os.environ))
