"""What the records say of each finding, by named rules; what nobody knows stays unknown."""
