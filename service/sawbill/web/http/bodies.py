"""Request bodies: JSON read strictly, with one clear problem for what is no JSON."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable
from typing import Any, Final, Never

from flask import current_app, request
from werkzeug.exceptions import ClientDisconnected, RequestEntityTooLarge

from sawbill.asked.faults import RequestFaultsError
from sawbill.asked.reader import read_alone
from sawbill.prices.rows.faults import shown
from sawbill.trade.declaring.members import Group
from sawbill.web.http.problems import Problem, faulty

JSON_TYPE: Final = "application/json"
SMALL: Final = 16_000
"""How long a body may be that is read where it comes in, and not in the back room [bytes]."""
DEEPEST: Final = 32
"""How many lists and objects may lie in each other."""
MOST_VALUES: Final = 500_000
"""How many members and entries all of them may have together: a price book of 20,000 full rows has half as many."""
MOST_MEMBERS: Final = 50_000
"""How many members one object may have; no object of a request has a hundred of its own."""
LONGEST_NUMBER: Final = 1_000
"""How many characters a number may have: what is longer takes ever longer to read, and says nothing."""


def json_body() -> Any:
    """Read the small body of the request at hand. Raises Problem: of another type than JSON, not JSON, or large."""
    data = body_of(JSON_TYPE)
    if len(data) > SMALL:
        raise Problem("too-large", f"the body of this request may have at most {SMALL} bytes")
    return read_json_text(data)


def read_body(group: Group) -> dict[str, Any]:
    """Read the small body of the request at hand as it is declared. Raises Problem: with every fault."""
    return read_as(json_body(), group)


def read_as(raw: Any, group: Group) -> dict[str, Any]:
    """Read what was sent as it is declared. Raises Problem: with every fault."""
    try:
        return read_alone(raw, group)
    except RequestFaultsError as error:
        raise faulty(error.faults) from None


def body_of(*types: str) -> bytes:
    """Give the bytes of the request at hand. Raises Problem: it says that they are of none of these types."""
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if request.mimetype not in types or charset not in ("utf-8", "utf8"):
        others = f", or as {' or '.join(types[1:])}" if types[1:] else ""
        detail = f"send the body as Content-Type: {types[0]}, in UTF-8{others}"
        raise Problem("wrong-content-type", detail)
    if request.headers.get("Content-Encoding", "identity").lower() != "identity":
        raise Problem("wrong-content-type", "send the body as it is, without a Content-Encoding")
    data = _read()
    if request.content_length is None and len(data) >= current_app.config["MAX_CONTENT_LENGTH"]:
        raise RequestEntityTooLarge  # a body of no stated length is cut off at the bound without a word
    return data


def _read() -> bytes:
    """Read the body of the request at hand. Raises Problem: its end does not come."""
    try:
        data = request.get_data(cache=False)
        whole = len(data) >= (request.content_length or 0)
    except (ClientDisconnected, OSError):
        whole = False
    if not whole:
        raise Problem("too-slow", "the body broke off, or took too long to arrive; send all of it without a pause")
    return data


def read_json_text(data: bytes) -> Any:
    """Read one JSON value as RFC 8259 has it: no key twice, no NaN or Infinity, UTF-8.

    Raises Problem: with the place of the fault, as line and column.
    """
    try:
        value = json.loads(
            data.decode("utf-8"), object_pairs_hook=_object, parse_constant=_no_constant, parse_int=_whole,
            parse_float=_float,
        )  # fmt: skip
    except UnicodeDecodeError as error:
        raise _unreadable(f"byte {error.start + 1} is not UTF-8") from None
    except json.JSONDecodeError as error:
        raise _unreadable(f"line {error.lineno}, column {error.colno}: {error.msg}") from None
    except RecursionError:
        raise _unreadable(f"its lists and objects are nested deeper than {DEEPEST}") from None
    _check_size(value)
    return value


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(pairs) > MOST_MEMBERS:
        raise _unreadable(f"an object in it has {len(pairs)} members; it may have {MOST_MEMBERS}")
    found = dict(pairs)
    if len(found) < len(pairs):
        twice = Counter(name for name, _ in pairs).most_common(1)[0][0]
        raise _unreadable(f"the key {shown(twice)} is in one object twice")
    return found


def _whole(text: str) -> int:
    return int(_short(text))


def _float(text: str) -> float:
    return float(_short(text))


def _short(text: str) -> str:
    if len(text) > LONGEST_NUMBER:
        raise _unreadable(f"a number in it has {len(text)} characters; write it in {LONGEST_NUMBER} at most")
    return text


def _no_constant(name: str) -> Never:
    raise _unreadable(f"{name} is not a number in JSON")


def _check_size(value: Any) -> None:
    level: list[Any] = [value]
    left = MOST_VALUES
    for _ in range(DEEPEST):
        left -= sum(len(each) for each in level if isinstance(each, dict | list))
        if left < 0:
            raise _unreadable(f"its lists and objects hold more than {MOST_VALUES} values; send less at once")
        level = [child for each in level for child in _children(each)]
        if not level:
            return
    raise _unreadable(f"its lists and objects are nested deeper than {DEEPEST}")


def _children(value: Any) -> Iterable[Any]:
    members = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return (member for member in members if isinstance(member, dict | list))


def _unreadable(what: str) -> Problem:
    return Problem("bad-request", f"the body is not JSON that can be read: {what}")
