"""Linear programmes over patterns, what fills a board best, and the bounds that follow."""
