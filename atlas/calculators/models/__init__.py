"""One module a calculator; each declares CALCULATOR."""
