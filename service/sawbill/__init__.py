"""Quotes for furniture built from construction lumber."""

from importlib.metadata import version

__version__ = version("sawbill")
