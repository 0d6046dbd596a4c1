"""A service to hold the Python door against, and a bed that several tests look at."""

from __future__ import annotations

from typing import Any

import pytest

import sawbill
from sawbill.web.app import create_app


@pytest.fixture(scope="package")
def service() -> Any:
    return create_app().test_client()


@pytest.fixture(scope="package")
def bed() -> sawbill.Quote:
    return sawbill.quote("slatted-bed", "sample-inch", mattress="queen", clear_height="10 in", exact=True)
