"""Sheets for the shop: how each piece is put together, where each hole is, how boards are cut."""
