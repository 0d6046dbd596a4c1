"""The HTTP service."""
