"""Price books, and lists of pieces, read from and written to files."""
