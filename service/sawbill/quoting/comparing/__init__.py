"""Quotes side by side: what a comparison asks for, its rows, their figures, and which of them are worth a look."""
