# Two commands do everything on a fresh machine: `make demo` and `make test`.
# Both make their own environment in .venv and touch nothing outside this folder.

PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
INSTALLED := $(VENV)/.installed
READY  := $(VENV)/.ready
BOOK   ?= demo-book
JOBS   ?= 2

.PHONY: demo test lint reference bench clean tools

demo: $(INSTALLED)
	@$(BIN)/inkledger demo $(BOOK)

test: $(READY) lint
	@$(BIN)/python -m pytest -n $(JOBS)

lint: $(READY)
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/mypy

reference: $(READY)
	@$(BIN)/python docs/make_reference.py

bench: $(READY)
	@$(BIN)/python -m tests.bench $(BENCH)

$(INSTALLED): pyproject.toml | tools
	@$(PYTHON) -m venv $(VENV) || { echo "python3's venv module is missing: install it (Debian: apt install python3-venv) and run make again"; exit 1; }
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable .
	@touch $@

$(READY): $(INSTALLED)
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[dev]'
	@touch $@

tools:
	@command -v git >/dev/null || { echo "git is missing: install it (Debian: apt install git) and run make again"; exit 1; }
	@command -v $(PYTHON) >/dev/null || { echo "$(PYTHON) is missing: install Python 3.11 or later and run make again"; exit 1; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "$(PYTHON) is too old: Python 3.11 or later is needed (make PYTHON=python3.12 demo)"; exit 1; }

clean:
	rm -rf $(VENV) demo-book build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
