# Every target calls .ci/house.py, which a PC without make calls itself.
PYTHON ?= python3

.PHONY: help demo test check lock
help:  ## Say what can be made
	@$(PYTHON) .ci/house.py help
demo:  ## Set up, build the demo plant and serve it on http://127.0.0.1:8470
	@$(PYTHON) .ci/house.py demo
test:  ## Set up and run all tests; ARGS="tests/unit -k word" for some
	@$(PYTHON) .ci/house.py test $(ARGS)
check:  ## Set up, then ruff, mypy and the import contracts
	@$(PYTHON) .ci/house.py check
lock:  ## Write requirements.lock anew from pyproject.toml
	@$(PYTHON) .ci/house.py lock
