"""Case, pattern and comparison reports."""
