"""Pure functions of SI numbers named by unit; each names its source."""
