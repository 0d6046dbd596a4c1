"""The version that is installed: the `engine` of every answer."""

from importlib.metadata import version
from typing import Final

VERSION: Final = version("sawbill")
