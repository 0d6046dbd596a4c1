"""What is kept, a class for each kind; each call of theirs is one transaction."""
