"""What the helper process can be asked; imported there alone, as it loads PuLP and the solver."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sawbill.estimating.cutting import integer, model

TASKS: dict[str, Callable[..., Any]] = {
    "solve": integer.solve,
    "least": model.least,
}
