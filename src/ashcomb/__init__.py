"""Ashcomb: an outbreak of American foulbrood from the first suspect cell to a signed all-clear."""

__version__ = "0.1.0"
