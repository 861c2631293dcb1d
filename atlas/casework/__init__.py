"""Cases: evidence, suspicions, calculations and verdicts, and their storage."""
