"""Quotes for furniture built from construction lumber: what to buy, how to cut it, what it costs.

In a notebook or a script, without a service:

    import sawbill

    bed = sawbill.quote("slatted-bed", "sample-inch", mattress="queen")
    bed.total, bed.currency
    bed.shopping_list       # and every other table, as a pandas DataFrame

designs: what can be quoted, and what may be asked of it
price_book: prices from a folder, a workbook, a zip or a sample
quote: what to buy for a design, or for several, how to cut it, what it costs, what the checks found
line: one of several lines of a quote
compare: designs, options and price books side by side
propose: the best that open options may become within wishes, and the proof
settings: what may be said beside a design and its options: shop, site, lumber, what you have, pricing
cut: which boards to buy for pieces of your own, and how to cut them
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sawbill.notebook import (
        Book,
        CannotBeBoughtError,
        Comparison,
        CuttingPlan,
        Design,
        Designs,
        Drawing,
        Fault,
        FaultsError,
        Proposal,
        Quote,
        compare,
        cut,
        designs,
        line,
        price_book,
        propose,
        quote,
        settings,
    )
    from sawbill.version import VERSION

    __version__ = VERSION

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
    "__version__",
    "compare",
    "cut",
    "designs",
    "line",
    "price_book",
    "propose",
    "quote",
    "settings",
]

if not TYPE_CHECKING:  # mypy knows every name, and would take any other for one

    def __getattr__(name: str) -> Any:
        """Load what is offered when it is first asked for: the service and the command line never load pandas."""
        if name not in __all__:
            raise AttributeError(f"module 'sawbill' has no attribute {name!r}")
        if name == "__version__":
            found = import_module("sawbill.version").VERSION
        else:
            found = getattr(import_module("sawbill.notebook"), name)
        globals()[name] = found
        return found

    def __dir__() -> list[str]:
        """Give what is offered."""
        return [*__all__]
