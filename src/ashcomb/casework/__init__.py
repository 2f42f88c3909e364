"""One module for each thing a user does; the only place where store, clock and plans meet."""
