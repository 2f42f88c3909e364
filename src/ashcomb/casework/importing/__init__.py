"""Reads real spreadsheets into records: `reader.read_files`; what could not be read comes back marked: `refusals`."""
