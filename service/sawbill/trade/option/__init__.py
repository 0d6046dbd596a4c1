"""The kinds of option a design may declare, each able to read a written value and to describe itself.

A design declares options as data; the catalogue, the JSON Schema and every error message are made from the
declaration, so they cannot fall behind it.
"""

from sawbill.trade.option.asked import MAX_TEXT
from sawbill.trade.option.chosen import Choice, Flag, Section
from sawbill.trade.option.mattress import Mattress
from sawbill.trade.option.measured import Count, Length, Lengths

Option = Length | Lengths | Count | Choice | Flag | Section | Mattress

__all__ = ["MAX_TEXT", "Choice", "Count", "Flag", "Length", "Lengths", "Mattress", "Option", "Section"]
