# Every target does its own set-up; the second time it is quick.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.installed
TESTSTAMP := $(VENV)/.installed-test
PIP := $(BIN)/python -m pip --disable-pip-version-check -q

.PHONY: site test lint fix bench clean help

help:
	@echo "make site   build the demo station's site and papers"
	@echo "make test   run the linters and every test"
	@echo "make lint   only the linters"
	@echo "make fix    let the formatter and the linter mend what they can"
	@echo "make bench  print how long things take"

$(BIN)/python:
	@$(PYTHON) -m venv $(VENV) 2>/dev/null || sh .ci/need-venv $(PYTHON) $(VENV)

$(STAMP): pyproject.toml constraints.txt | $(BIN)/python
	@echo "Setting up $(VENV) ..."
	@$(PIP) install -c constraints.txt -e .
	@$(BIN)/python -m compileall -q builder
	@touch $@

$(TESTSTAMP): $(STAMP)
	@echo "Setting up what the tests need ..."
	@$(PIP) install -c constraints.txt -e ".[test,lint]"
	@touch $@

site: $(STAMP)
	@$(BIN)/python -m compileall -q builder
	@$(BIN)/rigfolio site

lint: $(TESTSTAMP)
	@$(BIN)/ruff check builder tests
	@$(BIN)/ruff format --check builder tests
	@$(BIN)/mypy
	@$(BIN)/lint-imports --no-logo 2>/dev/null || $(BIN)/lint-imports

test: lint
	@sh .ci/system-packages
	@$(BIN)/python -m compileall -q builder
	@$(BIN)/python -m pytest -n 2 --dist loadfile

fix: $(TESTSTAMP)
	@$(BIN)/ruff check --fix builder tests || true
	@$(BIN)/ruff format builder tests

bench: $(TESTSTAMP)
	@$(BIN)/python -m compileall -q builder
	@$(BIN)/python tests/bench.py

clean:
	rm -rf site render .cache
