"""One module a command: ``add`` describes it, ``run`` does it and returns the status.

Whatever is heavy is imported inside ``run``: printing the help must stay quick.
"""
