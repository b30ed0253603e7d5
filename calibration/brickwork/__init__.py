"""Brickwork read from pixels: courses and perpends, counted and measured."""
