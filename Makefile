# `make demo` and `make test` set everything up by themselves in .venv, once.
# PYTHON chooses the interpreter to start from: `make test PYTHON=/opt/python3.11/bin/python3`.

PYTHON ?= $(shell command -v python3.11 || command -v python3.12 || command -v python3)
VENV := .venv
RUN := $(VENV)/bin/python
INSTALLED := $(VENV)/.installed
HEALTHY := $(VENV)/.healthy
DEMO := lake16

.PHONY: help demo test lint types unit bench clean
.DELETE_ON_ERROR:

help:
	@echo "make demo    build the demo boat into out/$(DEMO)/"
	@echo "make test    lint, types and tests"
	@echo "make lint    lint and types only"
	@echo "make bench   timings, as ratios within one run"
	@echo "make clean   remove what was built; .venv stays"

demo: $(HEALTHY)
	@$(VENV)/bin/athwart build configs/$(DEMO).yaml -o out/$(DEMO) || [ $$? -eq 1 ]

test: lint unit

lint: $(HEALTHY)
	$(RUN) -m ruff check .
	$(RUN) -m ruff format --check .
	$(RUN) -m mypy

unit: $(HEALTHY)
	OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 $(RUN) -m pytest -q -n 2

bench: $(HEALTHY)
	@for file in tests/benchmarks/bench_*.py; do \
	  echo "== $$file"; PYTHONPATH=. OMP_NUM_THREADS=1 $(RUN) "$$file" || exit 1; \
	done

clean:
	rm -rf out build dist *.egg-info .pytest_cache .ruff_cache .mypy_cache .hypothesis

# The system's pip fills the new environment, so that a Debian without python3-venv will do.
$(INSTALLED): requirements.lock pyproject.toml
	@"$(PYTHON)" -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] < (3, 13))' || \
	  { echo "Athwart needs Python 3.11 or 3.12: make PYTHON=/path/to/python3.11"; exit 1; }
	@echo "setting up $(VENV) (once; about 2 GB, mostly the CAD kernel)"
	@if [ ! -x $(RUN) ]; then \
	  if "$(PYTHON)" -m pip --version >/dev/null 2>&1; \
	  then "$(PYTHON)" -m venv --without-pip $(VENV); \
	  else "$(PYTHON)" -m venv $(VENV) || { echo "to cure: apt-get install -y python3-venv"; exit 1; }; fi; fi
	@if $(RUN) -m pip --version >/dev/null 2>&1; \
	  then $(RUN) -m pip install -q --disable-pip-version-check -r requirements.lock; \
	  else "$(PYTHON)" -m pip --python $(RUN) install -q --disable-pip-version-check -r requirements.lock; fi
	@$(RUN) -m pip install -qq --no-deps --editable . 2>/dev/null || \
	  $(RUN) -m pip install --no-deps --editable .
	@touch $@

# Prints the line that cures what cannot be loaded, and stops.
$(HEALTHY): $(INSTALLED)
	@$(VENV)/bin/athwart doctor --quiet
	@touch $@
