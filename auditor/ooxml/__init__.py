"""Parts of spreadsheet packages."""
