"""A calculation as one writes it out by hand: givens, formulas, numbers, units, each on a line of its own.

Every line that is reckoned is reckoned from its own formula, as it is printed, and from the lines above it.
"""

from __future__ import annotations

import ast
import operator
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import pi, sqrt
from typing import Final, Literal

Source = Literal[
    "NDS", "EC5", "EN 338", "EN 1725", "EN 1990", "EN 747", "EN 12520", "ASCE 7", "frame", "model", "practice",
    "definition", "",
]  # fmt: skip
SOURCES: Final[Mapping[str, str]] = {
    "NDS": "National Design Specification for Wood Construction (NDS), 2018, allowable stress design",
    "EC5": "EN 1995-1-1:2004 (Eurocode 5), with A1:2008 and A2:2014, recommended values",
    "EN 338": "EN 338:2016, Table 1: strength classes",
    "EN 1725": "EN 1725:1998, loads of a test, from a secondary source",
    "EN 747": "EN 747-2, loads of a test on beds above the floor, from memory, for a user of 110 kg",
    "EN 12520": "EN 12520, loads of a test on seats and their legs, from memory; of beds borrowed",
    "EN 1990": "EN 1990:2002, Table A1.2(B): partial factors of actions",
    "ASCE 7": "ASCE 7-16, Table 12.12-1: how far a storey may drift, from memory; borrowed",
    "frame": "measured on the frame, as it stands in this quote",
    "model": "from the statics of the whole frame: beams, springs and faces that only press; in balance, as shown",
    "practice": "common practice, no source",
    "definition": "by definition of the units",
}
"""What lines rest on, by the short names that they give."""
_OPERATORS: Final[Mapping[type[ast.AST], Callable[..., float]]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
    ast.Pow: operator.pow, ast.USub: operator.neg,
}  # fmt: skip
_FUNCTIONS: Final[Mapping[str, Callable[..., float]]] = {"sqrt": sqrt, "min": min, "max": max, "abs": abs}
_NAME: Final = re.compile(r"[A-Za-z][A-Za-z0-9_']*")


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its symbol, what it is, what it comes to, in what unit; formula and numbers, empty of what is given.

    source: a short name of `SOURCES`, clause: where in it; inputs: the symbols of the lines it is reckoned from.
    """

    symbol: str
    name: str
    value: float
    unit: str
    formula: str
    numbers: str
    source: Source
    clause: str
    inputs: tuple[str, ...]


@dataclass(slots=True)
class Calculation:
    """How much is used of one rule by one standard, line by line; the last line is the share."""

    rule: str
    standard: str
    title: str
    part: str
    when: str
    lines: list[Line] = field(default_factory=list)

    def given(self, symbol: str, name: str, value: float, unit: str, source: Source, clause: str = "") -> float:
        """Write a line that is known."""
        value = settled(value)
        self.lines.append(Line(symbol, name, value, unit, "", "", source, clause, ()))
        return value

    def reckon(self, symbol: str, name: str, formula: str, unit: str, source: Source = "", clause: str = "") -> float:
        """Write a line that is reckoned from those above."""
        known = {line.symbol: line.value for line in self.lines}
        inputs = tuple(dict.fromkeys(name for name in _NAME.findall(formula) if name in known))
        value = settled(evaluated(formula, known))
        numbers = _NAME.sub(lambda found: printed(known[found[0]]) if found[0] in known else found[0], formula)
        self.lines.append(Line(symbol, name, value, unit, shown(formula), shown(numbers), source, clause, inputs))
        return value

    @property
    def used(self) -> float:
        """The share that is used."""
        return self.lines[-1].value


def settled(value: float) -> float:
    """A value to twelve figures: in the last ones, powers may come out differently on another machine."""
    return float(f"{value:.12g}")


def evaluated(formula: str, known: Mapping[str, float]) -> float:
    """What a formula comes to. Raises KeyError: it names what is not known."""

    def of(node: ast.AST) -> float:
        if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
            return float(node.value)
        if isinstance(node, ast.Name):
            return pi if node.id == "pi" else known[node.id]
        if isinstance(node, ast.UnaryOp):
            return _OPERATORS[type(node.op)](of(node.operand))
        if isinstance(node, ast.BinOp):
            return _OPERATORS[type(node.op)](of(node.left), of(node.right))
        assert isinstance(node, ast.Call) and isinstance(node.func, ast.Name), ast.dump(node)
        return _FUNCTIONS[node.func.id](*map(of, node.args))

    known = {symbol.replace("'", "__"): value for symbol, value in known.items()}
    return of(ast.parse(formula.replace("^", "**").replace("'", "__"), mode="eval").body)


def printed(value: float) -> str:
    """A number as it is printed in a line: to six figures, in brackets below nothing."""
    text = f"{value:.6g}"
    if "e" in text:
        text = f"{value:.0f}" if abs(value) >= 1 else f"{value:.9f}".rstrip("0").rstrip(".")
    return f"({text})" if value < 0 else text


def shown(formula: str) -> str:
    """A formula as people write it."""
    return formula.replace(" * ", " \u00d7 ").replace("**", "^").replace("pi", "π")
