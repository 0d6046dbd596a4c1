"""Where to buy: whose goods together cost the least, with tax, trips and deliveries, proven or with the gap told."""

from sawbill.buying.suppliers.sourcing import (
    Sourcing,
    Visit,
    cheapest_sourcing,
    make_ready,
    sourcing_within,
    tax_of,
    total_of,
    until,
)

__all__ = ["Sourcing", "Visit", "cheapest_sourcing", "make_ready", "sourcing_within", "tax_of", "total_of", "until"]
