"""Rendered sample photographs of an invented house, with exact truth beside each."""
