"""Ids, time, errors and units at the border. Imports nothing of ours."""
