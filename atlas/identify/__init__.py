"""From words to patterns, and from observations to patterns."""
