"""The job file: its public format, reading it, and what it means."""
