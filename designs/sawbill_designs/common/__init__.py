"""What several designs build and ask for alike."""
