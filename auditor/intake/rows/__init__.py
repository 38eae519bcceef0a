"""What each row of a table is: a record, a total, a section, void, another trade's, a core of a cable."""
