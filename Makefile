# Spadework's everyday tools. Each target does its own set-up; Python 3.11 or newer and make are enough.
.DEFAULT_GOAL := help
.PHONY: help setup test lint docs bench demo lock clean

VENV := .venv
PYTHON := $(VENV)/bin/python
PIP_INSTALL := $(PYTHON) -m pip install --quiet --disable-pip-version-check --no-input
PIP_COMPILE := $(PYTHON) -m piptools compile --quiet --strip-extras --allow-unsafe --generate-hashes \
	--no-header --no-emit-index-url --no-emit-trusted-host --no-emit-find-links --pip-args=--only-binary=:all:

help: ## List these targets
	@sed -n 's/^\([a-z][a-z-]*\):.*## \(.*\)/\1|\2/p' $(MAKEFILE_LIST) | while IFS='|' read -r name what; do \
		printf '  make %-12s %s\n' "$$name" "$$what"; done

setup: $(VENV)/.dev-stamp ## Make .venv with everything for work on the code

demo: $(VENV)/.run-stamp ## Run the main job on the invented demo season; results in demo-out/
	$(VENV)/bin/spadework demo --out demo-out

test: setup ## Run every test
	$(PYTHON) -m pytest -n 2

lint: setup ## Check format, rules, types, layers and spelling
	$(VENV)/bin/ruff format --check
	$(VENV)/bin/ruff check
	$(VENV)/bin/mypy
	$(VENV)/bin/lint-imports
	$(VENV)/bin/codespell

docs: setup ## Write the generated pages in docs/
	$(PYTHON) scripts/build_docs.py

bench: setup ## Measure speed; prints a table
	$(PYTHON) -m benchmarks

lock: setup ## Renew the locked versions in requirements/ (add UPGRADE=--upgrade for the newest)
	$(PIP_COMPILE) $(UPGRADE) --extra build -o requirements/run.txt pyproject.toml
	$(PIP_COMPILE) $(UPGRADE) --extra build --extra dev -c requirements/run.txt -o requirements/dev.txt pyproject.toml

clean: ## Remove .venv, caches and results
	rm -rf $(VENV) demo-out build dist .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

# Stamps, so that a step cut short is done again, and an install is repeated only when a lock file has changed.
$(VENV)/.made-stamp:
	@sh scripts/make_venv.sh $(VENV)
	@touch $@

$(VENV)/.run-stamp: requirements/run.txt pyproject.toml | $(VENV)/.made-stamp
	@echo "Installing what Spadework runs on; this takes a minute or so the first time."
	$(PIP_INSTALL) --require-hashes -r requirements/run.txt
	$(PIP_INSTALL) --no-deps --no-build-isolation -e .
	@touch $@

$(VENV)/.dev-stamp: requirements/dev.txt pyproject.toml | $(VENV)/.made-stamp
	@echo "Installing what Spadework and its tests run on; this takes a minute or two the first time."
	$(PIP_INSTALL) --require-hashes -r requirements/dev.txt
	$(PIP_INSTALL) --no-deps --no-build-isolation -e .
	@touch $(VENV)/.run-stamp $@
