"""What lines and sentences around the tables say of rows: each a fact with a scope."""
