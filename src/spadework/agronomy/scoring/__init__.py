"""How well a crop is nodulated: from plants to the share of the field that is adequate."""
