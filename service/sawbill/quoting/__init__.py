"""From a request and a price book to a quote."""
