"""Tables of coefficients with their sources, and the one loader."""
