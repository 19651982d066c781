# Two commands set everything up by themselves: `make demo` and `make test`.
SHELL := /bin/sh
PYTHON ?= python3
UV := .tools/uv/bin/uv
UV_VERSION := 0.13.9
RUN := $(UV) run --frozen --no-sync
export UV_PYTHON_DOWNLOADS := never
export UV_LINK_MODE := copy

.DEFAULT_GOAL := help
.PHONY: help demo serve test test-sqlite test-postgres check lint format bench docs clean

help:  ## Show what can be made
	@sed -n 's/^\([a-z-]*\):.*## \(.*\)/  make \1|\2/p' Makefile | column -t -s '|'

$(UV):
	@echo "Fetching uv $(UV_VERSION) into .tools"
	@$(PYTHON) -m pip install --quiet --disable-pip-version-check --no-warn-script-location \
		--root-user-action=ignore --target .tools/uv "uv==$(UV_VERSION)"

.tools/demo-ready: $(UV) pyproject.toml uv.lock
	@$(UV) sync --quiet --frozen --inexact --no-dev
	@touch $@

.tools/test-ready: $(UV) pyproject.toml uv.lock
	@$(UV) sync --quiet --frozen
	@touch $@ .tools/demo-ready

demo: .tools/demo-ready  ## Set up an invented shop, serve it on 127.0.0.1 and open it
	@$(RUN) castworthy demo $(ARGS)

serve: .tools/demo-ready  ## Serve the shop's own record
	@$(RUN) castworthy serve $(ARGS)

test: lint test-sqlite test-postgres  ## Set up and pass every test: habits, SQLite, browser, PostgreSQL
	@echo "Every test passed."

test-sqlite: .tools/test-ready
	@scripts/install-test-programs
	@$(RUN) pytest -n 2 --dist loadfile $(ARGS)

test-postgres: .tools/test-ready
	@scripts/install-test-programs
	@scripts/with-postgres $(RUN) pytest -n 2 --dist loadfile tests/records tests/actions tests/server $(ARGS)

check: test  ## What CI does

lint: .tools/test-ready  ## Formatting, lint, types, rooms
	@$(RUN) ruff format --check --quiet src tests benchmarks
	@$(RUN) ruff check --quiet src tests benchmarks
	@$(RUN) mypy --no-error-summary -p castworthy.units -p castworthy.calc -p castworthy.sheets -p castworthy.charts -p castworthy.reports -p castworthy.instruments
	@$(RUN) lint-imports --no-cache > .tools/rooms.txt || { cat .tools/rooms.txt; exit 1; }

format: .tools/test-ready  ## Put the code in its usual shape
	@$(RUN) ruff check --fix --quiet src tests benchmarks
	@$(RUN) ruff format --quiet src tests benchmarks

bench: .tools/test-ready  ## Measure speed beside general-purpose libraries
	@for bench in benchmarks/*.py; do $(RUN) python $$bench || exit 1; done

docs: .tools/test-ready  ## Write the generated pages of docs/ again
	@$(RUN) castworthy docs

clean:  ## Remove what was set up (never a shop's record)
	@rm -rf .venv .tools .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
