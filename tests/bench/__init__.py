"""A simulated bench: a true world in which a chemist standardises and titrates, and what she would write down.

It works forward, from the truth to the reading, and shares no equation with the program it is to test.
"""
