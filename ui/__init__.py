"""The page. Empty until it is built."""
