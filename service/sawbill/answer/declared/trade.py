"""The tables of the trade as they are answered: every row with the source of its numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered, Json, Writing
from sawbill.trade import fasteners, lumber, mattresses
from sawbill.trade.lengths import INCH, MM, System, format_length, millimetres


@dataclass(frozen=True)
class FineWriting(Writing):
    """Writes lengths of a table, finer than a cut: to 1/64 in where it is such, else to 0.001 in or 0.01 mm.

    asked: whether the system was asked for; else each row has its own.
    """

    asked: bool = False

    @classmethod
    def of(cls, units: System | None) -> FineWriting:
        """In a system, or each row in its own."""
        return cls(units or "metric", 0, asked=units is not None)

    def length(self, nm: int) -> Json:
        """Write a length of a table."""
        steps = [INCH // 64, INCH // 1000] if self.units == "inch" else [MM // 100]
        step = next((step for step in steps if nm % step == 0), steps[-1])
        return {"mm": millimetres(nm), "text": format_length(nm, self.units, step)}


class _Row(Answered):
    """A row of a table; without asked units it is told in those of its own trade."""

    @classmethod
    def written(cls, value: Any, out: Any) -> Json:
        """Write it in the units asked for, or its own."""
        return super().written(value, out if out.asked else FineWriting(_own(value), 0))


def _own(row: Any) -> System:
    """In which system a row is told where none is asked for."""
    match row:
        case lumber.Section():
            return "inch" if row.family.startswith("inch") else "metric"
        case mattresses.MattressSize():
            return "inch" if row.market == "US" else "metric"
    system: System = row.system
    return system


def _nominal(name: str) -> f.Read:
    def read(section: lumber.Section, _: Writing) -> str | None:
        nominal = getattr(section, name)
        return None if nominal is None else str(nominal)

    return read


class Section(_Row):
    """A section of lumber."""

    name = f.text("Its name.", "2x4")
    family = f.text("How it is sized.", "inch dry")
    thickness = f.length("Its dressed thickness.", 38.1, "1 1/2 in")
    width = f.length("Its dressed width.", 88.9, "3 1/2 in")
    nominal_thickness = f.text(
        "Its nominal thickness [in], where it is named by one.", "2", _nominal("nominal_thickness"), none=True
    )
    nominal_width = f.text(
        "Its nominal width [in], where it is named by one.", "4", _nominal("nominal_width"), none=True
    )  # fmt: skip
    source = f.text("The standard that its sizes are from.", "NDS Supplement 2018, Table 1A (dressed sizes of PS 20)")


class Species(Answered):
    """A species, or a group of species sold as one."""

    name = f.text("Its name.", "Douglas Fir-Larch")
    weight_kg_m3 = f.number(
        "Its weight at 15 % moisture [kg/m3].", 538.2, lambda each, _: float(round(each.weight_kg_m3, 1))
    )
    specific_gravity = f.text(
        "Its specific gravity in the NDS, where it has one.", "0.50",
        lambda each, _: None if each.specific_gravity is None else str(each.specific_gravity), none=True,
    )  # fmt: skip
    source = f.text(
        "The standard or the catalogue that its numbers are from.", "AWC Wood Structural Design Data, 1992 revision"
    )


class Grade(Answered):
    """A grade."""

    name = f.text("Its name.", "No.2")
    rules = f.text("The rules it is a grade of; grades of other rules do not compare.", "structural")
    rank = f.whole("Its place under its rules; 1 is the best.", 4)
    source = f.text("Where it is from.", "NDS Supplement 2018, Table 4A")


class Lumber(Answered):
    """Lumber: sections, species and grades."""

    sections = f.rows(Section, "The sections.", lambda *_: lumber.sections().values())
    species = f.rows(Species, "The species.", lambda *_: lumber.species().values())
    grades = f.rows(Grade, "The grades, best first under each set of rules.", lambda *_: lumber.grades().values())


class Mattress(_Row):
    """A mattress size."""

    name = f.text("Its name: a value of an option of kind mattress.", "queen")
    title = f.text("What it is called where it is sold.", "queen")
    market = f.text("Where it is sold.", "US")
    width = f.length("Its width on the label.", 1524, "60 in")
    length = f.length("Its length on the label.", 2032, "80 in")
    tolerance = f.length("How far a real one may differ.", 12.7, "1/2 in")
    least_mass_kg = f.number("What a light one weighs [kg].", 27, lambda size, _: float(size.least_mass_kg))
    most_mass_kg = f.number("What a heavy one weighs [kg].", 73, lambda size, _: float(size.most_mass_kg))
    mass_source = f.text("The source of the masses.", "common practice, no source")
    source = f.text("The standard that its sizes are from.", "common practice, no source")


class MattressList(Answered):
    """Mattress sizes by market."""

    mattresses = f.rows(Mattress, "The mattress sizes by market.", lambda *_: mattresses.mattress_sizes().values())


class HardwareKind(Answered):
    """A kind of hardware."""

    item = f.text("Its name, in price books and requests.", "hex bolt", "name")
    has_size = f.flag("Whether it is sold by size.", example=True)
    has_length = f.flag("Whether it is sold by length.", example=True)


class TeeNut(Answered):
    """A tee nut."""

    barrel_length = f.length("How deep its barrel goes in.", 11.1, "7/16 in")
    barrel_diameter = f.length("The bore its barrel takes.", 11.1, "7/16 in")
    flange_diameter = f.length("How wide its flange is.", 25.4, "1 in")


class Bolt(_Row):
    """A bolt of one diameter, and what goes on it."""

    name = f.text("Its size.", "3/8 in")
    system = f.text("The system that it is made and named in.", "inch", choices=["inch", "metric"])
    diameter = f.length("Its diameter.", 9.525, "3/8 in")
    pitch = f.length("From one thread to the next.", 1.5875, "1/16 in")
    washer_thickness = f.length("How thick its washer is.", 1.651, "0.065 in")
    washer_diameter = f.length("How wide its washer is.", 25.4, "1 in")
    large_washer_thickness = f.length("How thick a large washer of it is.", 3.175, "1/8 in")
    large_washer_diameter = f.length("How wide a large washer of it is.", 38.1, "1 1/2 in")
    nut_height = f.length("How high its nut is.", 8.56, "0.337 in")
    round_head_diameter = f.length("How wide its head is where it is round, at most.", 21.4376, "0.844 in")
    round_head_height = f.length("How high its head is where it is round, at most.", 5.2832, "0.208 in")
    tee_nut = f.group(TeeNut, "Its tee nut.")
    thread_rule = f.text("The standard that says how much of it is threaded.", "ASME B18.2.1")
    lengths = f.rows(f.length("A length.", 127, "5 in"), "The lengths it is sold in, shortest first.")
    source = f.text("The standard or the catalogue that its numbers are from.", "ASME B18.2.1-2012")


class Screw(_Row):
    """A wood screw of one diameter."""

    name = f.text("Its size.", "#8")
    system = f.text("The system that it is made and named in.", "inch", choices=["inch", "metric"])
    diameter = f.length("Its diameter.", 4.166, "0.164 in")
    lengths = f.rows(f.length("A length.", 50.8, "2 in"), "The lengths it is sold in, shortest first.")
    source = f.text("The standard or the catalogue that its numbers are from.", "ASME B18.6.1-1981")


class Hanger(_Row):
    """A face-mount joist hanger."""

    name = f.text("Its printed seat.", "1-9/16 in")
    system = f.text("The system that it is made and named in.", "inch", choices=["inch", "metric"])
    seat = f.length("How thick a beam it takes.", 39.6875, "1 9/16 in")
    least_height = f.length("How high the beam must be at least.", 76.2, "3 in")
    face_nails = f.whole("How many nails hold it to what carries it.", 4)
    nail_length = f.length("How long those nails are.", 38.1, "1 1/2 in")
    source = f.text("The standard or the catalogue that its numbers are from.", "usual seats of face-mount hangers")


class Fasteners(Answered):
    """Fasteners."""

    items = f.rows(HardwareKind, "What a price book may list as hardware.", lambda *_: fasteners.ITEMS.values())
    bolts = f.rows(Bolt, "Bolts, with a hexagon or a round head.", lambda *_: fasteners.bolt_sizes().values())
    screws = f.rows(Screw, "Wood screws.", lambda *_: fasteners.screw_sizes().values())
    hangers = f.rows(Hanger, "Joist hangers.", lambda *_: fasteners.hangers().values())
