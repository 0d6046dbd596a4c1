"""The database under the store: how it is reached, its tables and how they change, what keeps room on its disk."""
