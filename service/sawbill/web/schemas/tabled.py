"""What the answer with a table or a value of a quote holds, made from the tables' own columns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from marshmallow import Schema, fields

from sawbill.answer.catalogues import CATALOGUES
from sawbill.answer.columns import Column, Table
from sawbill.answer.declared.quoted.totals import QuotedBook
from sawbill.answer.kept_tables import KEPT
from sawbill.answer.tables import TABLES
from sawbill.answer.values import VALUES
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.answered import schema_of
from sawbill.web.schemas.fields import Sent

_KINDS: Final[Mapping[str, type[fields.Field[Any]]]] = {
    "text": fields.String,
    "whole": fields.Integer,
    "number": fields.Float,
    "money": fields.String,
    "flag": fields.Boolean,
}


def _field(column: Column) -> fields.Field[Any]:
    unit = "the price book's currency" if column.kind == "money" else column.unit
    description = f"{column.meaning} [{unit}]" if unit else column.meaning
    about = {"description": description, "examples": [column.example]}
    return _KINDS[column.kind](required=True, allow_none=True, metadata=about)


def _schema(table: Table) -> type[Schema]:
    name = table.name.title().replace("-", "")  # by which addresses call it; its title may change
    row = Sent.from_dict({column.name: _field(column) for column in table.columns}, name=f"{name}TableRowSchema")
    row.__doc__ = f"A row of the table {table.name}."
    whole = {
        "table": sent.text("The table, by the name in its address.", table.name, choices=[table.name]),
        "engine": sent.text("The version of Sawbill that made the quote.", "0.15.0"),
        "price_book": sent.group(schema_of(QuotedBook), "The price book it was made from."),
        "rows": sent.rows(row, table.meaning),
    }
    schema = Sent.from_dict(whole, name=f"{name}TableSchema")
    schema.__doc__ = f"The table {table.name}. {table.meaning}"
    return schema


ROWS: Final[Mapping[str, type[Schema]]] = {name: _schema(table) for name, table in TABLES.items()}
"""What the JSON of each table holds."""


class OneValueSchema(Sent):
    """A single value of a quote."""

    value = fields.Raw(
        required=True,
        metadata={
            "description": "The value; money is text with the currency's decimals.",
            "examples": ["117.30"],
            "anyOf": [{"type": "string"}, {"type": "number"}, {"type": "boolean"}],
        },
    )
    unit = sent.text("What it is counted in; null where it has no unit.", "USD", none=True)


class ColumnSchema(Sent):
    """A column of a table."""

    name = sent.text("Its name, in every form.", "length_mm")
    meaning = sent.text("What its cells mean.", "The length they are cut to. Exact.")
    kind = sent.text("What its cells are.", "number", choices=list(_KINDS))
    unit = sent.text("What its numbers are counted in; null for none.", "mm", none=True)
    example = fields.Raw(
        required=True, metadata={"description": "What a cell of it may look like.", "examples": [2133.6]}
    )


class ListedTableSchema(Sent):
    """A table that every quote has, or a catalogue."""

    name = sent.text("Its name, as it stands in an address.", "cut-list")
    meaning = sent.text("What it lists.", "The parts to cut; parts that are cut alike share a row.")
    columns = sent.rows(ColumnSchema, "Its columns in their order.")


class TableListSchema(Sent):
    """The tables of a quote, of the catalogues, and of what is kept."""

    tables = sent.rows(ListedTableSchema, "The tables, in the order of a whole quote.")
    catalogues = sent.rows(ListedTableSchema, "The tables of the catalogues, each at /v1/ and its name.")
    kept = sent.rows(
        ListedTableSchema,
        "The tables of what is kept: /v1/quotes, /v1/quotes/ID/drift and /v1/price-books/NAME/changes.",
    )


class ListedValueSchema(Sent):
    """A value that a quote has by name."""

    name = sent.text("Its name, as it stands in an address.", "total")
    meaning = sent.text("What the value means.", "All that is spent.")
    kind = sent.text("What it is, as a value.", "money", choices=["text", "whole", "number", "money", "length", "mass"])
    unit = sent.text("What its number is counted in unless asked otherwise; null for none.", "mm", none=True)
    example = fields.Raw(required=True, metadata={"description": "One such value.", "examples": ["117.30"]})


class ValueListSchema(Sent):
    """The values of a quote that have names."""

    values = sent.rows(ListedValueSchema, "The values.")


def tables_json() -> dict[str, Any]:
    """List the tables with their columns."""
    return {
        "tables": [_table_json(table) for table in TABLES.values()],
        "catalogues": [_table_json(table) for table in CATALOGUES.values()],
        "kept": [_table_json(table) for table in KEPT.values()],
    }


def values_json() -> dict[str, Any]:
    """List the values that have names."""
    keys = ("name", "meaning", "kind", "example")
    listed = ({**{key: getattr(each, key) for key in keys}, "unit": each.unit or None} for each in VALUES.values())
    return {"values": list(listed)}


def _table_json(table: Table) -> dict[str, Any]:
    columns = [_column_json(each) for each in table.columns]
    return {"name": table.name, "meaning": table.meaning, "columns": columns}


def _column_json(column: Column) -> dict[str, Any]:
    keys = ("name", "meaning", "kind", "example")
    return {**{key: getattr(column, key) for key in keys}, "unit": column.unit or None}
