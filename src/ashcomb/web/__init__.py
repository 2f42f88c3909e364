"""Served pages: parse, call one use case, render."""
