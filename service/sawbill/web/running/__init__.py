"""The service as it runs: its settings, its processes, what they share and count, where they listen."""
