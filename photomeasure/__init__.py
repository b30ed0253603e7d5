"""The job, its lengths and papers, and the command line."""
