"""Plans of a job: which branch goes to which port, and which pull is cut from which reel."""
