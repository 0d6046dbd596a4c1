"""Every example of the Python door works as it is printed, `...` standing for prices, and all functions have one."""

from __future__ import annotations

import doctest
import inspect
import pkgutil
from importlib import import_module

import pytest

import sawbill
from sawbill import notebook

MODULES = [f"sawbill.notebook.{each.name}" for each in pkgutil.iter_modules(notebook.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_work(name: str) -> None:
    assert doctest.testmod(import_module(name), optionflags=doctest.ELLIPSIS).failed == 0


@pytest.mark.parametrize("name", [name for name in sawbill.__all__ if inspect.isfunction(getattr(sawbill, name))])
def test_a_function_that_is_offered_tells_its_faults_and_has_an_example(name: str) -> None:
    told = inspect.getdoc(getattr(sawbill, name)) or ""
    assert ">>> " in told
    assert "Raises FaultsError" in told or name in ("designs", "line")
