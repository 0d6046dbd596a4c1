"""Stands for pots and planters."""
