"""What requests and answers look like, and how values become JSON."""
