"""Printed marker sheets: drawing them, and turning found ones into references."""
