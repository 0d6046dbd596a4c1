"""The pages that people read and fill in."""
