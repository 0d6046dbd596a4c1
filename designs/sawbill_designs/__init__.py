"""The rule modules: one design, one module."""
