"""A paper as PDF."""
