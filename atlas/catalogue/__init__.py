"""Patterns, observables and vocabulary: what they hold, reading, checking, appending."""
