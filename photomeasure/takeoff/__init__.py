"""From measured lines to what to cut, order and charge."""
