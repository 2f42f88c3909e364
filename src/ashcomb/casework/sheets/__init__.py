"""What stands on each paper, in plain words: gathered from records, plans and profile, without layout."""
