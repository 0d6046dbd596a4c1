"""Price books: what they hold, and how they change."""
