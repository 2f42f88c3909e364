"""Contacts, transmission, observation and freedom: arrays in, arrays out."""
