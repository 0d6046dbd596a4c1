"""What stands in a price book's files, read row by row, every fault told at once."""
