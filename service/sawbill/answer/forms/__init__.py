"""The forms that answers take: CSV, JSON, text, workbooks, and drawings in a zip."""
