"""The sheet: lettering that is measured, lines, dimensions, labels, tables, frame and title block."""
