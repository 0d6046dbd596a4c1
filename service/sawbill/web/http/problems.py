"""Problems: what can go wrong, told as RFC 9457 says and never with internal text."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from sawbill.asked.request import Pointer, RequestFault
from sawbill.buying.boards import NothingFitsError
from sawbill.prices.rows.faults import BookFaultsError, Fault, shown

CONTENT_TYPE: Final = "application/problem+json"
MOST_ERRORS: Final = 100
"""How many faults one problem lists; its detail tells how many there are."""
PLAIN: Final = (".txt", ".csv")
"""The suffixes of addresses whose problems are one line of plain text."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of problem: its status, its title, whether the same request may go through later, what to do."""

    status: int
    title: str
    retryable: bool
    remedy: str


KINDS: Final[Mapping[str, Kind]] = MappingProxyType({
    "bad-request": Kind(400, "The request cannot be read", False, "Send one JSON value in UTF-8, each key once."),
    "token-needed": Kind(
        401, "You need a token for this", False,
        "Send it in the header Authorization: Bearer TOKEN; whoever runs the service can make you one.",
    ),
    "token-refused": Kind(
        401, "The token is not valid", False, "Ask whoever runs the service, or whoever made the link, for a new one.",
    ),
    "not-allowed": Kind(
        403, "Your token does not allow this", False, "Use a token with the scope that is named.",
    ),
    "not-from-here": Kind(
        403, "This did not come from a page of this service", False,
        "Open the page again and send its form. A program sends its token in the header Authorization.",
    ),
    "not-yours": Kind(403, "This belongs to somebody else", False, "Ask its owner, or use one of your own."),
    "not-found": Kind(404, "There is nothing at this address", False, "See /openapi.html for every address."),
    "method-not-allowed": Kind(
        405, "This address does not take that method", False, "Use one of the methods in the header Allow.",
    ),
    "not-acceptable": Kind(
        406, "It does not come in the format you ask for", False,
        "Accept one of the formats listed, or end the address in its suffix.",
    ),
    "too-slow": Kind(408, "The request took too long to arrive", True, "Send it all without a pause."),
    "price-book-changed": Kind(
        409, "The price book has changed", False, "Ask for today's revision, or send the book you want inline.",
    ),
    "nothing-kept": Kind(
        409, "This service stores nothing", False, "Start it with a data folder: sawbill serve --data FOLDER.",
    ),
    "price-book-read-only": Kind(
        409, "This price book can only be changed in its folder", False,
        "Edit the files there, or store a price book under another name.",
    ),
    "name-taken": Kind(409, "This name is not free", False, "Choose another name, or restore what you deleted."),
    "not-done": Kind(409, "The job is not finished", True, "The job says how far it is and when to ask again."),
    "moved-on": Kind(412, "This has changed since you read it", False, "Read it again, then make your change to that."),
    "too-large": Kind(413, "The request is too large", False, "Send less in one request."),
    "expectation-failed": Kind(417, "The Expect header cannot be met", False, "Send the request without it."),
    "not-implemented": Kind(501, "The body is sent in an unsupported way", False, "Send it whole, or in chunks."),
    "not-installed": Kind(
        501, "This format is not installed", False,
        "Ask for another format, or ask whoever runs the service to install this one.",
    ),
    "address-too-long": Kind(414, "The address is too long", False, "Send the same request as JSON, with POST."),
    "wrong-content-type": Kind(
        415, "The content type is not supported", False, "Send application/json, or another type listed.",
    ),
    "invalid-request": Kind(422, "The request has mistakes in it", False, "Correct each one that is listed."),
    "cannot-be-bought": Kind(
        422, "This price book does not sell what is needed", False,
        "Change what is named, or add it to the price book.",
    ),
    "key-reused": Kind(
        422, "This idempotency key was used for another request", False, "Use a new key for each new request.",
    ),
    "precondition-required": Kind(
        428, "Say which version you are replacing", False,
        "Send If-None-Match: * to create it, or If-Match with the ETag you read to replace it.",
    ),
    "headers-too-large": Kind(431, "The headers are too large", False, "Send fewer headers, or shorter ones."),
    "too-many-requests": Kind(
        429, "Too many requests", True, "Wait as long as the header Retry-After says.",
    ),
    "internal-error": Kind(500, "Something went wrong in the service", False, "Report it; the service has logged it."),
    "busy": Kind(503, "The service is busy", True, "Wait as long as the header Retry-After says."),
    "took-too-long": Kind(
        503, "The request took too long to work out", True,
        "Ask for less at once, or wait as long as the header Retry-After says.",
    ),
    "not-ready": Kind(503, "The service is not ready", True, "Wait, or put right what is named."),
    "price-book-at-fault": Kind(
        503, "The price book has mistakes in it", True, "Whoever keeps the price book has to correct them.",
    ),
    "store-busy": Kind(
        503, "The service cannot reach its store", True, "Send the same again, with the same idempotency key.",
    ),
    "store-unusable": Kind(
        503, "The store is out of order", True, "Whoever runs the service has to repair it.",
    ),
    "store-full": Kind(507, "The store is full", True, "Whoever runs the service has to make room."),
})  # fmt: skip
"""Every problem the service tells of, by the last step of its type."""

RECKONED: Final = ("busy", "took-too-long")
"""The problems of every address that has something worked out."""
READS_STORE: Final = ("store-busy", "store-unusable")
WRITES_STORE: Final = (*READS_STORE, "nothing-kept", "store-full")
"""The problems of every address that reads the store, or writes it."""


class Problem(Exception):  # noqa: N818 (RFC 9457 calls it a problem)
    """The end of a request that cannot be answered as asked: a kind of KINDS, what happened, each fault, headers."""

    def __init__(
        self,
        kind: str,
        detail: str,
        errors: Sequence[Mapping[str, Any]] = (),
        headers: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        super().__init__(detail)
        self.kind, self.detail, self.errors, self.headers = kind, detail, errors, headers

    @property
    def status(self) -> int:
        """Its status."""
        return KINDS[self.kind].status

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.kind, self.detail, self.errors, self.headers)


def body(kind: str, detail: str, errors: Sequence[Mapping[str, Any]] = ()) -> dict[str, Any]:
    """Give a problem as the JSON object that RFC 9457 describes."""
    told = KINDS[kind]
    return {
        "type": f"/problems/{kind}",
        "title": told.title,
        "status": told.status,
        "detail": detail,
        "retryable": told.retryable,
        "errors": list(errors[:MOST_ERRORS]),
    }


def faulty(faults: Sequence[RequestFault], place: str = "pointer") -> Problem:
    """The problem of a request with faults; place: `pointer` into its body, or `parameter` of its query."""
    if [fault.code for fault in faults] == ["price-book-changed"]:
        kind, detail = "price-book-changed", faults[0].detail
    else:
        kind, detail = "invalid-request", _counted(len(faults))
    if place == "parameter":
        errors = [{place: parameter_name(each.pointer), "code": each.code, "detail": each.detail} for each in faults]
        return Problem(kind, detail, sorted(errors, key=lambda error: error[place]))
    first = faults[:MOST_ERRORS]
    return Problem(
        kind, detail, [{place: pointer_text(at.pointer), "code": at.code, "detail": at.detail} for at in first]
    )


def cannot_be_bought(error: NothingFitsError) -> Problem:
    """The problem of an order that the price book cannot fill, with everything that it lacks."""
    errors = [{"code": each.code, "detail": each.message, "parts": list(each.parts)} for each in error.lacking]
    return Problem("cannot-be-bought", " ".join(each.message for each in error.lacking[:3]), errors)


def book_at_fault(name: str, error: BookFaultsError) -> Problem:
    """The problem of a stored price book that cannot be used: no fault of the caller's, so never a 4xx.

    It names the file, line and column in the book, which its keeper needs, and no folder of the machine.
    """
    errors = [{"code": fault.code, "detail": str(fault)} for fault in error.faults]
    return Problem("price-book-at-fault", f"the price book {name} has {_counted(len(errors))}", errors)


def sent_book_faulty(faults: Sequence[Fault], place: Callable[[Fault], Mapping[str, str | int]]) -> Problem:
    """The problem of a price book that was sent and has faults; place: where in what was sent a fault is."""
    errors = [{**place(fault), "code": fault.code, "detail": fault.detail} for fault in faults]
    return Problem("invalid-request", _counted(len(errors)), errors)


def pointer_text(pointer: Pointer) -> str:
    """Write a JSON pointer (RFC 6901)."""
    return "".join("/" + shown(str(step)).replace("~", "~0").replace("/", "~1") for step in pointer)


def parameter_name(pointer: Pointer) -> str:
    """Name the query parameter that a place of the request came from."""
    if pointer[:1] == ("lines",) and pointer[2:3] == ("options",) and len(pointer) > 3:
        return shown(str(pointer[3]))
    return shown(str(next((step for step in reversed(pointer) if isinstance(step, str)), "")))


def _counted(faults: int) -> str:
    more = f", of which the first {MOST_ERRORS} are listed" if faults > MOST_ERRORS else ""
    return f"{faults} mistake{'' if faults == 1 else 's'}{more}"
