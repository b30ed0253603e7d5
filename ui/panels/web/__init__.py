"""Scripts and style of the panels, given to browsers as they are."""
