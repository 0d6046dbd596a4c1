"""What is asked of beds: sizes, and the published rules for those that stand high."""
