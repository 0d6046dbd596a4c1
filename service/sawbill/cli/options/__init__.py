"""What a command may be told: its options, their headings in the help, and what the Tab key completes."""
