"""One reader a file format: bytes to sheets of cells."""
