"""Port plans: which branch on which port."""
