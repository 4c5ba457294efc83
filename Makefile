# Every target calls run.py, which needs only Python 3.11 or later. Without make: python3 run.py VERB
PYTHON ?= python3

.PHONY: list demo files serve test check bench wheel docs platforms
list:
	@$(PYTHON) run.py

demo files serve test check bench wheel docs platforms:
	@$(PYTHON) run.py $@
