"""From a frame and a price book to a quote."""
