"""Development-only scripts that render the sample photographs and write their truth."""
