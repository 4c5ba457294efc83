"""What all the tests share: generated inputs are the same in every run, and a slow machine is no failure."""

from hypothesis import settings

settings.register_profile("house", derandomize=True, deadline=None, max_examples=50, print_blob=True)
settings.load_profile("house")
