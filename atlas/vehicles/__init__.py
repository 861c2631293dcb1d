"""A vehicle's front structure as data, and its frame model."""
