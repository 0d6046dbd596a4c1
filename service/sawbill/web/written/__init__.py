"""Answers in every form they come in: pages, tables, workbooks, catalogues."""
