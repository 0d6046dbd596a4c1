"""Quotes for furniture built from construction lumber."""
