"""Tables as the roles see them: a pull in each row where the office keeps cards, cable ends or connectors."""
