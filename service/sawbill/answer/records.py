"""How the rows of the tables are found in the JSON of a quote or of a cutting plan, and some of their cells worded."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import Any, Final

from sawbill.answer.columns import Json
from sawbill.answer.declared.quoted.totals import Totals

Reader = Callable[[Json], Iterable[Json]]

COSTS: Final[Mapping[str, str]] = MappingProxyType({
    each.key: f"{each.meaning.partition(':')[0].removesuffix('.')}." for each in Totals.fields
})  # fmt: skip
"""What money is spent on, in the order of the table `costs`."""
ADDED: Final = ("lumber", "hardware", "supplies", "trips", "tax")
"""What of it makes the total."""


def what(row: Json) -> str:
    """Name a row of the shopping list in the trade's words."""
    length = row["length"]["text"] if row.get("length") else ""
    if row["kind"] == "lumber":
        return f"{row['section']} x {length} {row['species']} {row['grade']}"
    size = " x ".join(filter(None, (row.get("size"), length)))
    pack = f"pack of {row['pack']}" if row["kind"] == "hardware" else row["container"]
    return " ".join(filter(None, (row["item"], size))) + f", {pack}"


def costs(answer: Json) -> Iterator[Json]:
    """What money is spent on, as far as the answer tells."""
    totals, included = answer["totals"], answer["price_book"]["prices_include_tax"]
    for name, meaning in COSTS.items():
        if name in totals:
            adds = name in ADDED and not (name == "tax" and included)
            if name == "tax" and included:
                meaning = "Tax, which the prices hold already."
            elif name == "total":
                meaning = "All that is spent: the sum of the column adds."
            yield {
                "cost": name, "amount": totals[name], "adds": totals[name] if adds else None, "meaning": meaning
            }  # fmt: skip


def cuts(row: Json) -> str:
    """Tell the cuts of a board in order, like ones together."""
    told: list[list[Any]] = []
    for cut in row["cuts"]:
        name = f"{cut['part']} {cut['length']['text']}" + (_ripped(cut))
        if told and told[-1][1] == name:
            told[-1][0] += 1
        else:
            told.append([1, name])
    return " + ".join(f"{count} x {name}" if count > 1 else name for count, name in told)


def marks(row: Json) -> str:
    """Tell the marks of a letter: how many of one frame have which, and which are mirror images."""
    told = (
        f"{each['each']} x {each['mark']}" + (f" (mirror of {each['mirror_of']})" if each["mirror_of"] else "")
        for each in row.get("marks") or ()
    )
    return ", ".join(told)


def places(row: Json) -> str:
    """Tell how far holes are from a side."""
    return ", ".join(each["text"] for each in row["places"])


def _ripped(cut: Json) -> str:
    """Tell what is made of a blank: strips, and how many parts of them all."""
    return f" (rip into {cut['strips']}, cut {cut['parts']})" if cut["blank"] else ""


def at_yard(row: Json) -> str:
    """Tell what to have cut at the yard, if anything."""
    if not row["yard_cuts"]:
        return ""
    first = "square, then " if row["yard_squares"] else ""
    return f"{first}{' + '.join(length['text'] for length in row['yard_cuts'])}"


def packs(row: Json) -> str:
    """Tell the packs or containers to buy."""
    return " + ".join(f"{pack['count']} x {pack.get('pack', pack.get('container'))}" for pack in row["packs"])


def numbered(name: str, key: str) -> Reader:
    """Read the rows of a list, each with its place."""
    return lambda answer: ({**row, key: i} for i, row in enumerate(answer.get(name, ())))


def labelled(name: str) -> Reader:
    """Read the rows of a list, each with the label of its line."""
    return lambda answer: ({**row, "label": answer["lines"][row["line"]]["label"]} for row in answer.get(name, ()))


def calculations(answer: Json) -> Iterator[Json]:
    """The lines of each calculation, with the rule and the part that it is of."""
    for sheet in answer.get("calculations", ()):
        label = answer["lines"][sheet["line"]]["label"]
        for row in sheet["lines"]:
            yield {**sheet, **row, "line": sheet["line"], "label": label}


def carried(answer: Json) -> Iterator[Json]:
    """The pieces that each frame comes apart into."""
    for frame in answer.get("frames", ()):
        for piece in frame["carried_pieces"]:
            yield {"line": frame["line"], "label": frame["label"], **piece}
