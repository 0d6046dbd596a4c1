"""All boards as paths through a graph, small by reduced cost, and the programme over its arcs."""
