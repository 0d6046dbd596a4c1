"""A quote as tables and plain values, for sheets, scripts and terminals."""
