"""What schemathesis has to be told: to send the files of a price book as they are, and to ask for true statuses."""

from typing import Any
from urllib.parse import urlencode

import schemathesis

LONGEST = 3_000
"""Of a query, whose path and version are on the same line of 4094 bytes."""


@schemathesis.serializer("application/zip", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
def as_it_is(context: Any, value: Any) -> bytes:
    data = getattr(value, "data", value)
    return data if isinstance(data, bytes) else str(data).encode()


@schemathesis.hook
def before_call(context: Any, case: Any, kwargs: Any) -> None:
    """Leave out on_error=text, which tells every problem with the status 200: the tests of tables try it."""
    if isinstance(case.query, dict) and case.query.get("on_error") == "text":
        del case.query["on_error"]


@schemathesis.hook
def filter_case(context: Any, case: Any) -> bool:
    """Send no address that the server refuses before the service sees it, as the description says."""
    query = case.query if isinstance(case.query, dict) else {}
    return len(urlencode(query, doseq=True, errors="replace")) < LONGEST
