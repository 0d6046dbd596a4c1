"""What a caller asks for, read into values, every fault at once."""
