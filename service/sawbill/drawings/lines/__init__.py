"""What is seen of boxes from an eye: their edges, what hides them, the tone of their faces."""
