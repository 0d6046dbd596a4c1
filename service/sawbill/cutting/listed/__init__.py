"""What is found by listing every way to cut one board: small orders whole, and fewest set-ups."""
