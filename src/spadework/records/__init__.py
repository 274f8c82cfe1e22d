"""What people write down: types, reading, checking and writing of a book."""
