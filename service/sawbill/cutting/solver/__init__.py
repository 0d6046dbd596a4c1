"""The solver of linear and integer programmes, and the process in which it can be stopped."""
