"""What is sent of drawings and of frames as data."""
