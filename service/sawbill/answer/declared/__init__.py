"""What is answered, declared once: every key with its kind, its meaning, an example, and how it is read."""
