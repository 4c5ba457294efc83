"""At the burette: where the endpoint is expected, and which readings are asked about while they are still fresh.

Nothing here refuses: a figure that is half typed is not a number yet, and one that cannot be is asked about.
"""
