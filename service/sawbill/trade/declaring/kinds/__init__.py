"""How one value of a request is written: each kind checks a value, reads it, and describes itself.

They stand beside the kinds of a design's options (`trade.option`), which also know what a design takes when nothing is
said. To check takes nothing but the value: its type and size. To read takes what it is read against, for ranges are
told in the shop's own units, and sections are found in its price book.
"""

from sawbill.trade.declaring.kinds.kind import Kind, Wrong
from sawbill.trade.declaring.kinds.measures import Length, LengthGiven, Mass
from sawbill.trade.declaring.kinds.numbers import Number, Share, Whole, whole_of
from sawbill.trade.declaring.kinds.others import Free, YesNo
from sawbill.trade.declaring.kinds.texts import MOST_TEXT, Name, SectionName, Text, Word

__all__ = [
    "MOST_TEXT",
    "Free",
    "Kind",
    "Length",
    "LengthGiven",
    "Mass",
    "Name",
    "Number",
    "SectionName",
    "Share",
    "Text",
    "Whole",
    "Word",
    "Wrong",
    "YesNo",
    "whole_of",
]
