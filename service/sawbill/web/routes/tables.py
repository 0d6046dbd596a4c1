"""The tables of the trade that designs, price books and requests draw their words from."""

from __future__ import annotations

from collections.abc import Mapping

from flask_smorest import Blueprint

from sawbill.answer.declared.fields import Answered, Json
from sawbill.answer.declared.trade import Fasteners, FineWriting, Lumber, MattressList
from sawbill.web.http.queries import asked_units
from sawbill.web.openapi import UNITS
from sawbill.web.schemas.answered import schema_of
from sawbill.web.written import catalogues

tables = Blueprint("tables", __name__, description="Lumber, mattresses and fasteners, each number with its source.")


def _serve(name: str, about: str, of: type[Answered]) -> None:
    def give(given: Mapping[str, str]) -> Json:
        return of.written(None, FineWriting.of(asked_units(given)))

    catalogues.serve(tables, name, f"list_{name}", about, schema_of(of), give, query=[UNITS])


_serve("lumber", "List sections, species and grades of lumber.", Lumber)
_serve("mattresses", "List mattress sizes by market.", MattressList)
_serve("fasteners", "List bolts, screws and hangers.", Fasteners)
