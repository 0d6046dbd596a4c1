"""Who asks, what he may, and how much of it."""
