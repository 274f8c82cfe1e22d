"""Questions answered for a field: records and knowledge in, one value out."""
