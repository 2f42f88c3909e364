# The routines of this house. Bare `make` lists them.
.DEFAULT_GOAL := help
SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DELETE_ON_ERROR:

BIN := .venv/bin
DEMO ?= demo-orrow-vale
SERVE ?= 1
STARTED := $(shell date +%s)
BUILT := src/ashcomb/web/static/built
LOCK := --universal --generate-hashes --no-header --no-annotate --quiet
FRONT := $(shell find frontend -name '*.ts' -o -name '*.mjs' -o -name '*.css')

.PHONY: help
help: ## list the routines
	@awk -F ':.*## ' '/^[a-z]+:.*## / { printf "  make %-8s %s\n", $$1, $$2 }' $(MAKEFILE_LIST)

.PHONY: env
env: .venv/.user ## make .venv and install what a user needs (locked by hash)

.venv/.user: requirements.lock pyproject.toml tools/environment.sh
	@tools/environment.sh requirements.lock
	@touch $@

.venv/.dev: requirements-dev.lock .venv/.user
	@tools/environment.sh requirements-dev.lock
	@touch $@

.PHONY: front
front: $(BUILT)/map.js ## build the browser modules

$(BUILT)/map.js: node_modules/.installed $(FRONT) tsconfig.json
	@tools/npm.sh run --silent build

node_modules/.installed: package.json package-lock.json .npmrc tools/npm.sh | .venv/.user
	@tools/npm.sh ci --ignore-scripts --no-audit --no-fund --loglevel=error
	@touch $@

.PHONY: demo
demo: env front ## install, build and open the invented outbreak of Orrow Vale (SERVE=0: do not serve)
	@if [ ! -e "$(DEMO)" ]; then $(BIN)/ashcomb demo "$(DEMO)"; else echo "$(DEMO) is already there and stays as it is."; fi
	@echo "make demo took $$(( $$(date +%s) - $(STARTED) )) s."
	@if [ "$(SERVE)" != 0 ]; then exec $(BIN)/ashcomb serve "$(DEMO)"; fi

.PHONY: test
test: .venv/.dev front ## install all that tests need, then check and test everything
	@tools/system-packages.sh chromium poppler-utils fonts-dejavu-core
	@$(MAKE) --no-print-directory check
	@$(BIN)/pytest -n2
	@echo "make test took $$(( $$(date +%s) - $(STARTED) )) s."

.PHONY: check
check: .venv/.dev node_modules/.installed ## format, lint, types and floors, without running tests
	@$(BIN)/ruff format --check .
	@$(BIN)/ruff check .
	@$(BIN)/mypy
	@$(BIN)/lint-imports --no-logo
	@tools/npm.sh run --silent types

.PHONY: format
format: .venv/.dev ## format the code and put right what ruff can
	@$(BIN)/ruff check --fix-only --quiet .
	@$(BIN)/ruff format .

.PHONY: lock
lock: .venv/.user ## choose newest versions within pyproject.toml and package.json, write all locks
	@$(BIN)/uv pip compile pyproject.toml $(LOCK) --upgrade -o requirements.lock
	@$(BIN)/uv pip compile pyproject.toml --group dev -c requirements.lock $(LOCK) --upgrade -o requirements-dev.lock
	@$(BIN)/uv pip compile --group pyproject.toml:node $(LOCK) --upgrade -o requirements-node.lock
	@tools/npm.sh install --package-lock-only --ignore-scripts --no-audit --no-fund
	@if grep -n '://' requirements*.lock; then echo "A lock names an address."; exit 1; fi

.PHONY: bench
bench: .venv/.dev ## time the fast parts and print ratios (ONLY=science runs one table)
	@$(BIN)/python bench/run.py $(ONLY)

.PHONY: verify
verify: .venv/.dev ## the slow proofs: readable twins and the statistical suite (HOURS=1: the field trial too)
	@$(BIN)/pytest verification -n2 $(if $(HOURS),,-m "not hours")

.PHONY: docs
docs: .venv/.dev ## write the tables of formulas, values and sources into docs/
	@$(BIN)/python docs/tables.py

.PHONY: clean
clean: ## remove what these routines made, except the demo case
	@rm -rf .venv node_modules $(BUILT) dist build .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
