"""What rows came to, written as text and read again."""

from __future__ import annotations

from collections.abc import Mapping

from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import compare
from sawbill.quoting.comparing.grid import Entry, Grid
from sawbill.quoting.comparing.noted import figures_read, figures_text, row_read, row_text
from sawbill.registry import designs


def test_what_a_row_came_to_is_read_as_it_was_written_also_if_refused(
    samples: Mapping[str, PriceBook],
) -> None:
    """Sawhorses of usual heights, and one lower than may be asked for."""
    options = {"height": ["24 in", "6 in", "30 in"]}
    combinations = list(Grid([Entry("sawhorse", designs()["sawhorse"], {})], options, 1, (1, 2)))
    rows = list(compare(combinations, {}, [samples["sample-inch"]]))
    assert {row.status for row in rows} > {"quoted"}
    for row in rows:
        assert row_read(row_text(row), row.combination) == row
        assert "\n" not in row_text(row)
        assert row.figures is None or figures_read(figures_text(row.figures)) == row.figures
