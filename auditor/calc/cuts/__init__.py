"""Cut lists: which pull from which reel."""
