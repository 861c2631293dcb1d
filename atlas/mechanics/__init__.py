"""Pure functions on numpy arrays in SI base units; imports nothing of atlas."""
