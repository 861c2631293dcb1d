"""The user-facing calculators: declared inputs, units and ranges to results and findings."""
