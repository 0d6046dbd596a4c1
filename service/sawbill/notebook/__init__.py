"""The Python door: what `import sawbill` offers to notebooks and scripts, on pandas.

Nothing else imports it: whoever does, loads pandas.
"""

from sawbill.notebook.answers import Drawing
from sawbill.notebook.books import Book, price_book
from sawbill.notebook.catalogue import Design, Designs, designs
from sawbill.notebook.comparisons import Comparison, compare
from sawbill.notebook.faults import CannotBeBoughtError, Fault, FaultsError
from sawbill.notebook.members import settings
from sawbill.notebook.plans import CuttingPlan, cut
from sawbill.notebook.proposals import Proposal, propose
from sawbill.notebook.quotes import Quote, line, quote

__all__ = [
    "Book",
    "CannotBeBoughtError",
    "Comparison",
    "CuttingPlan",
    "Design",
    "Designs",
    "Drawing",
    "Fault",
    "FaultsError",
    "Proposal",
    "Quote",
    "compare",
    "cut",
    "designs",
    "line",
    "price_book",
    "propose",
    "quote",
    "settings",
]
