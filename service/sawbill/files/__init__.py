"""Price books read from and written to files."""
