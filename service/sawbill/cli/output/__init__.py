"""How a command answers: forms, files, tables that fit a terminal, and how it ends."""
