"""What is kept, as requests reach it: price books, of the folder and of the store, and quotes."""
