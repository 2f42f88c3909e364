"""Bibliography, sourced values and code profiles: data files and their loader."""
