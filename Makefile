# Everything a person or a build machine does with this project. `make` alone lists it.
# Set-up needs python3 (3.11 or newer) with pip, and no root; it is done when first needed and again when a lock changes.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP = $(PYTHON) -m pip --disable-pip-version-check --python $(BIN)/python install --quiet
RUNTIME := $(VENV)/.runtime-installed
PACKAGE := $(VENV)/.package-installed
DEVELOPMENT := $(VENV)/.development-installed

.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
# The order of the preparing steps matters, and each of them keeps all cores busy anyway.
.NOTPARALLEL:
.PHONY: help setup demo test prove bench docs picture page-pictures system-deps

help:
	@echo "make demo         rebuild demo-shelf/ (three invented leads) and say where the reports are"
	@echo "make test         lint, types, imports and every test at small sizes (under 15 minutes)"
	@echo "make prove        every test at full size; resumes where it was interrupted; writes docs/measured.md"
	@echo "make bench        measure speed; writes its section of docs/measured.md"
	@echo "make docs         make the generated pages of docs/ again"
	@echo "make picture      draw docs/report.png, the picture in README, from the demo"
	@echo "make page-pictures  take the pictures of the page in docs/, from the demo, and write docs/page.md"
	@echo "make system-deps  install the reference programs of the tests (Debian packages chromium, ngspice)"
	@echo "make setup        only prepare .venv (the others do it when needed)"

# One clear line for each thing a bare machine may lack.
define check-python
@command -v $(PYTHON) >/dev/null || { echo "coldpin needs python3, 3.11 or newer: install it, or name one: make PYTHON=/path/to/python" >&2; exit 1; }
@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "coldpin needs Python 3.11 or newer and $(PYTHON) is $$($(PYTHON) -c 'import sys; print(sys.version.split()[0])'): name a newer one: make PYTHON=python3.12" >&2; exit 1; }
@$(PYTHON) -c 'import venv' 2>/dev/null || { echo "the venv module of $(PYTHON) is missing: install it (Debian: apt-get install python3-venv)" >&2; exit 1; }
@$(PYTHON) -c 'import pip, sys; sys.exit(tuple(map(int, pip.__version__.split(".")[:2])) < (22, 3))' 2>/dev/null || { echo "pip 22.3 or newer for $(PYTHON) is missing: install it (Debian: apt-get install python3-pip)" >&2; exit 1; }
endef

define make-venv
@echo "Preparing $(VENV) from $(1) (about half a minute) ..."
@$(PYTHON) -m venv --clear --without-pip $(VENV)
@$(PIP) --require-hashes -r $(1)
endef

$(RUNTIME): requirements.lock
	$(check-python)
	$(call make-venv,requirements.lock)
	@touch $@

# The development lock holds all of the runtime lock. Where only this lock changed, the environment is made anew, so that
# nothing from before stays in it.
$(DEVELOPMENT): requirements-dev.lock $(RUNTIME)
	$(check-python)
	@if [ -e $@ ]; then $(PYTHON) -m venv --clear --without-pip $(VENV) && touch $(RUNTIME); fi
	@echo "Adding the development tools (about half a minute) ..."
	@$(PIP) --require-hashes -r requirements-dev.lock
	@touch $@

$(PACKAGE): pyproject.toml $(RUNTIME)
	@$(PIP) --no-deps --no-build-isolation -e .
	@touch $@

setup: $(RUNTIME) $(PACKAGE)

demo: $(RUNTIME) $(PACKAGE)
	@rm -rf demo-shelf
	$(BIN)/coldpin demo demo-shelf

# Types and import contracts are tests too (tests/project/test_house.py): they keep one core busy, the others run beside.
# A file of tests stays with one process, in its order: what it set up (a shelf, a server) is made once and met as it was left.
test: $(DEVELOPMENT) $(PACKAGE)
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/python -m pytest -n 2 --dist loadfile --no-loadscope-reorder

prove: $(DEVELOPMENT) $(PACKAGE)
	$(BIN)/python -m tools.prove

bench: $(DEVELOPMENT) $(PACKAGE)
	$(BIN)/python -m tools.bench

docs: $(DEVELOPMENT) $(PACKAGE)
	$(BIN)/python -m tools.make_docs

# Apart from docs, as every version draws it a little differently.
picture: $(DEVELOPMENT) $(PACKAGE)
	$(BIN)/python -m tools.report_picture

page-pictures: $(DEVELOPMENT) $(PACKAGE)
	$(BIN)/python -m tools.page_pictures

system-deps:
	@need=""; \
	command -v ngspice >/dev/null || need="$$need ngspice"; \
	command -v chromium >/dev/null || command -v chromium-browser >/dev/null || need="$$need chromium"; \
	if [ -z "$$need" ]; then echo "The reference programs are here: ngspice, chromium."; exit 0; fi; \
	command -v apt-get >/dev/null || { echo "no apt-get here: install$$need by this system's own means" >&2; exit 1; }; \
	as=""; [ "$$(id -u)" = 0 ] || as="sudo"; \
	$$as apt-get update -q && $$as env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends $$need
