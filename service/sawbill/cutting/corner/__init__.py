"""The exact search beside the basis of a linear programme: which few columns make every count whole."""
