"""What is asked of a design on a page: its form, its fields, and rows that were pasted."""
