"""A frame as data: every part in its place, with its letter and mark, and all that joins them."""

from __future__ import annotations

from sawbill.answer.placing import KINDS
from sawbill.trade.boxes import AXES
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import Sent


class PointSchema(Sent):
    """A point, or the sides of a box [mm]: x along the furniture, y from its front to its back, z from the floor up."""

    x = sent.number("Along the furniture [mm].", 0)
    y = sent.number("From its front to its back [mm].", 38.1)
    z = sent.number("From the floor up [mm].", 203.2)


class PlacedPartSchema(Sent):
    """A part in its place."""

    part = sent.text("What it is called in the frame, like no other.", "left head post 2")
    letter = sent.text("Its letter in the cut list.", "C")
    mark = sent.text("Its mark: the letter, numbered where the parts of one letter are drilled differently.", "C2")
    piece = sent.text("What it is carried with when the furniture is taken apart.", "left rail")
    corner = sent.group(PointSchema, "Its corner of least x, y and z [mm].")
    size = sent.group(PointSchema, "How far it reaches from there [mm].")
    along = sent.text("The axis its length runs along.", "z", choices=AXES)
    across = sent.text("The axis its width runs along.", "x", choices=AXES)


class PlacedJointSchema(Sent):
    """What holds parts together, or where one lies on another."""

    kind = sent.text(
        "How: resting parts lie unfastened, the first on the second; hung ones in a hanger on the last.", "bolted",
        choices=list(KINDS.values()),
    )  # fmt: skip
    parts = sent.rows(sent.text("A part.", "left rail"), "The parts; of a bolt or a screw, from its head on.")
    size = sent.text("The size of bolt, screw or hanger; null where there is none.", "3/8 in", none=True)
    length = sent.number("The length of bolt or screw [mm]; null where there is none.", 127, none=True)
    end = sent.text("What the thread of a bolt goes into; null of all else.", "tee nut", none=True)
    head = sent.group(PointSchema, "Where its axis enters the first part [mm]; null where there is none.", none=True)
    axis = sent.text("The axis it goes along; null where there is none.", "y", none=True, choices=AXES)
    toward = sent.whole("1 the way of the axis, -1 against it; null where there is none.", 1, none=True)


class PlacedMattressSchema(Sent):
    """A mattress in its place, in the middle of the room there is for it."""

    name = sent.text("Which one.", "mattress")
    corner = sent.group(PointSchema, "Its corner of least x, y and z [mm].")
    size = sent.group(PointSchema, "How far it reaches from there [mm].")


class SidesSchema(Sent):
    """What the sides of the furniture are called."""

    x = sent.rows(sent.text("A side.", "head"), "The side of the least x, and that of the greatest.")
    y = sent.rows(sent.text("A side.", "left"), "The side of the least y, which is shown first, and of the greatest.")
    seen_from = sent.text("Where one stands to say left and right.", "the foot")


class PlacedSchema(Sent):
    """A frame as data: parts in their places, and all that joins them."""

    sides = sent.group(SidesSchema, "What its sides are called.")
    parts = sent.rows(PlacedPartSchema, "Every part of one frame.")
    joints = sent.rows(PlacedJointSchema, "Every joint of one frame.")
    mattresses = sent.rows(PlacedMattressSchema, "Its mattresses.")
