"""From a bound and a plan to the proven cheapest: the stages that close the gap between them."""
