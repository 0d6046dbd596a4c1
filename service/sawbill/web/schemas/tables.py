"""The tables of the trade as they are sent: every row with the source of its numbers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sawbill.trade import fasteners, lumber, mattresses
from sawbill.trade.fasteners import BoltSize
from sawbill.trade.lengths import INCH, MM, System, format_length, millimetres
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import Sent

Json = dict[str, Any]


def lumber_json(units: System | None) -> Json:
    """Give sections, species and grades; without asked units each section in its own."""

    def section(each: lumber.Section) -> Json:
        length = _writer(units or ("inch" if each.family.startswith("inch") else "metric"))
        nominal = (each.nominal_thickness, each.nominal_width)
        return {
            "name": each.name,
            "family": each.family,
            "thickness": length(each.thickness),
            "width": length(each.width),
            "nominal_thickness": None if nominal[0] is None else str(nominal[0]),
            "nominal_width": None if nominal[1] is None else str(nominal[1]),
            "source": each.source,
        }

    return {
        "sections": [section(each) for each in lumber.sections().values()],
        "species": [
            {
                "name": each.name,
                "weight_kg_m3": float(round(each.weight_kg_m3, 1)),
                "specific_gravity": None if each.specific_gravity is None else str(each.specific_gravity),
                "source": each.source,
            }
            for each in lumber.species().values()
        ],
        "grades": [
            {"name": each.name, "rules": each.rules, "rank": each.rank, "source": each.source}
            for each in lumber.grades().values()
        ],
    }


def mattresses_json(units: System | None) -> Json:
    """Give the mattress sizes; without asked units those of the United States in inches, the rest metric."""

    def size(each: mattresses.MattressSize) -> Json:
        length = _writer(units or ("inch" if each.market == "US" else "metric"))
        return {
            "name": each.name,
            "title": each.title,
            "market": each.market,
            "width": length(each.width),
            "length": length(each.length),
            "tolerance": length(each.tolerance),
            "least_mass_kg": float(each.least_mass_kg),
            "most_mass_kg": float(each.most_mass_kg),
            "mass_source": each.mass_source,
            "source": each.source,
        }

    return {"mattresses": [size(each) for each in mattresses.mattress_sizes().values()]}


def fasteners_json(units: System | None) -> Json:
    """Give bolts, screws and hangers, and what a price book lists; without asked units each in its own."""
    return {
        "items": [
            {"item": each.name, "has_size": each.has_size, "has_length": each.has_length}
            for each in fasteners.ITEMS.values()
        ],
        "bolts": [_bolt(each, _writer(units or each.system)) for each in fasteners.bolt_sizes().values()],
        "screws": [
            {
                "name": each.name,
                "system": each.system,
                "diameter": _writer(units or each.system)(each.diameter),
                "lengths": [_writer(units or each.system)(nm) for nm in each.lengths],
                "source": each.source,
            }
            for each in fasteners.screw_sizes().values()
        ],
        "hangers": [
            {
                "name": each.name,
                "system": each.system,
                "seat": _writer(units or each.system)(each.seat),
                "least_height": _writer(units or each.system)(each.least_height),
                "face_nails": each.face_nails,
                "nail_length": _writer(units or each.system)(each.nail_length),
                "source": each.source,
            }
            for each in fasteners.hangers().values()
        ],
    }


def _bolt(each: BoltSize, length: Callable[[int], Json]) -> Json:
    sizes = (
        "diameter",
        "pitch",
        "washer_thickness",
        "washer_diameter",
        "large_washer_thickness",
        "large_washer_diameter",
        "nut_height",
    )
    nut = ("barrel_length", "barrel_diameter", "flange_diameter")
    return {
        "name": each.name,
        "system": each.system,
        **{name: length(getattr(each, name)) for name in sizes},
        "tee_nut": {name: length(getattr(each.tee_nut, name)) for name in nut},
        "thread_rule": each.thread_rule,
        "lengths": [length(nm) for nm in each.lengths],
        "source": each.source,
    }


def _writer(units: System) -> Callable[[int], Json]:
    """Writes a length of a table, finer than a cut: to 1/64 in where it is such, else to 0.001 in or 0.01 mm."""

    def write(nm: int) -> Json:
        steps = [INCH // 64, INCH // 1000] if units == "inch" else [MM // 100]
        step = next((step for step in steps if nm % step == 0), steps[-1])
        return {"mm": millimetres(nm), "text": format_length(nm, units, step)}

    return write


class SectionSchema(Sent):
    """A section of lumber."""

    name = sent.text("Its name.", "2x4")
    family = sent.text("How it is sized.", "inch dry")
    thickness = sent.length("Its dressed thickness.", 38.1, "1 1/2 in")
    width = sent.length("Its dressed width.", 88.9, "3 1/2 in")
    nominal_thickness = sent.text("Its nominal thickness [in], where it is named by one.", "2", none=True)
    nominal_width = sent.text("Its nominal width [in], where it is named by one.", "4", none=True)
    source = sent.text("Where its sizes are from.", "NDS Supplement 2018, Table 1A (dressed sizes of PS 20)")


class SpeciesSchema(Sent):
    """A species, or a group of species sold as one."""

    name = sent.text("Its name.", "Douglas Fir-Larch")
    weight_kg_m3 = sent.number("Its weight at 15 % moisture [kg/m3].", 538.2)
    specific_gravity = sent.text("Its specific gravity in the NDS, where it has one.", "0.50", none=True)
    source = sent.text("Where its numbers are from.", "AWC Wood Structural Design Data, 1992 revision")


class GradeSchema(Sent):
    """A grade."""

    name = sent.text("Its name.", "No.2")
    rules = sent.text("The rules it is a grade of; grades of other rules do not compare.", "structural")
    rank = sent.whole("Its place under its rules; 1 is the best.", 4)
    source = sent.text("Where it is from.", "NDS Supplement 2018, Table 4A")


class LumberSchema(Sent):
    """Lumber: sections, species and grades."""

    sections = sent.rows(SectionSchema, "The sections.")
    species = sent.rows(SpeciesSchema, "The species.")
    grades = sent.rows(GradeSchema, "The grades, best first under each set of rules.")


class MattressSchema(Sent):
    """A mattress size."""

    name = sent.text("Its name: a value of an option of kind mattress.", "queen")
    title = sent.text("What it is called where it is sold.", "queen")
    market = sent.text("Where it is sold.", "US")
    width = sent.length("Its width on the label.", 1524, "60 in")
    length = sent.length("Its length on the label.", 2032, "80 in")
    tolerance = sent.length("How far a real one may differ.", 12.7, "1/2 in")
    least_mass_kg = sent.number("What a light one weighs [kg].", 27)
    most_mass_kg = sent.number("What a heavy one weighs [kg].", 73)
    mass_source = sent.text("Where the masses are from.", "common practice, no source")
    source = sent.text("Where its sizes are from.", "common practice, no source")


class MattressesSchema(Sent):
    """Mattresses."""

    mattresses = sent.rows(MattressSchema, "The mattress sizes by market.")


class ItemSchema(Sent):
    """A kind of hardware."""

    item = sent.text("Its name, in price books and requests.", "hex bolt")
    has_size = sent.flag("Whether it is sold by size.", example=True)
    has_length = sent.flag("Whether it is sold by length.", example=True)


class TeeNutSchema(Sent):
    """A tee nut."""

    barrel_length = sent.length("How deep its barrel goes in.", 11.1, "7/16 in")
    barrel_diameter = sent.length("The bore its barrel takes.", 11.1, "7/16 in")
    flange_diameter = sent.length("How wide its flange is.", 25.4, "1 in")


class BoltSchema(Sent):
    """A hex bolt of one diameter, and what goes on it."""

    name = sent.text("Its size.", "3/8 in")
    system = sent.text("The system it is made in.", "inch", choices=["inch", "metric"])
    diameter = sent.length("Its diameter.", 9.525, "3/8 in")
    pitch = sent.length("From one thread to the next.", 1.5875, "1/16 in")
    washer_thickness = sent.length("How thick its washer is.", 1.651, "0.065 in")
    washer_diameter = sent.length("How wide its washer is.", 25.4, "1 in")
    large_washer_thickness = sent.length("How thick a large washer of it is.", 3.175, "1/8 in")
    large_washer_diameter = sent.length("How wide a large washer of it is.", 38.1, "1 1/2 in")
    nut_height = sent.length("How high its nut is.", 8.56, "0.337 in")
    tee_nut = sent.group(TeeNutSchema, "Its tee nut.")
    thread_rule = sent.text("The standard that says how much of it is threaded.", "ASME B18.2.1")
    lengths = sent.rows(sent.length("A length.", 127, "5 in"), "The lengths it is sold in, shortest first.")
    source = sent.text("Where its numbers are from.", "ASME B18.2.1-2012")


class ScrewSchema(Sent):
    """A wood screw of one diameter."""

    name = sent.text("Its size.", "#8")
    system = sent.text("The system it is made in.", "inch", choices=["inch", "metric"])
    diameter = sent.length("Its diameter.", 4.166, "0.164 in")
    lengths = sent.rows(sent.length("A length.", 50.8, "2 in"), "The lengths it is sold in, shortest first.")
    source = sent.text("Where its numbers are from.", "ASME B18.6.1-1981")


class HangerSchema(Sent):
    """A face-mount joist hanger."""

    name = sent.text("Its printed seat.", "1-9/16 in")
    system = sent.text("The system it is made in.", "inch", choices=["inch", "metric"])
    seat = sent.length("How thick a beam it takes.", 39.6875, "1 9/16 in")
    least_height = sent.length("How high the beam must be at least.", 76.2, "3 in")
    face_nails = sent.whole("How many nails hold it to what carries it.", 4)
    nail_length = sent.length("How long those nails are.", 38.1, "1 1/2 in")
    source = sent.text("Where its numbers are from.", "usual seats of face-mount hangers")


class FastenersSchema(Sent):
    """Fasteners."""

    items = sent.rows(ItemSchema, "What a price book may list as hardware.")
    bolts = sent.rows(BoltSchema, "Hex bolts.")
    screws = sent.rows(ScrewSchema, "Wood screws.")
    hangers = sent.rows(HangerSchema, "Joist hangers.")
