"""What an audit comes to, and its record."""
