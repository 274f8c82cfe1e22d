"""How much nitrogen: from the records of a field to the season balance and what it says."""
