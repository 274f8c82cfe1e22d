"""How much nitrogen: the daily season balance of a grain legume, with its uncertainty."""
