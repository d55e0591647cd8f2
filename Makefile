# Each target sets up what it needs and says so. `make` alone lists the targets.
PYTHON = .venv/bin/python

.PHONY: help demo test judges soak bench docs gallery format lock clean

help: ## list the targets
	@sed -n 's/^\([a-z]*\):.*## \(.*\)/make \1: \2/p' Makefile

demo: ## render the demo job to out/
	@.ci/setup
	@.venv/bin/lugbook report photos_demo/wandering-plover -o out
	@.venv/bin/lugbook report photos_demo/wandering-plover-return -o out

test: ## run the linter, the type checker and the tests
	@.ci/setup --tests
	@.venv/bin/ruff check .
	@.venv/bin/ruff format --check -q .
	@.venv/bin/mypy
	@$(PYTHON) -m pytest -q -n 2 --dist loadgroup -m "not judge"

judges: ## run the outside checkers over the demo report (installs Chromium, Java and more)
	@.ci/setup-judges
	@$(PYTHON) -m pytest -q -m judge tests/judges

soak: ## the long campaigns: mutations, broken trails, killed processes, histories, fuzzing (hours)
	@.ci/setup --tests
	@$(PYTHON) tests/soak/mutate_calc.py
	@$(PYTHON) tests/soak/trail_soak.py
	@$(PYTHON) tests/soak/history_soak.py
	@$(PYTHON) tests/soak/interrupts.py
	@$(PYTHON) tests/soak/fuzz.py
	@$(PYTHON) -m pytest -q tests/soak/owner_page.py
	@DIAGRAM_SEEDS=1000 $(PYTHON) -m pytest -q -n 2 tests/compose/test_diagram_layout.py
	@$(PYTHON) -m pip install -q --disable-pip-version-check --require-hashes -r .ci/fuzz.lock
	@$(PYTHON) tests/soak/fuzz_guided.py 20000 text
	@$(PYTHON) tests/soak/fuzz_guided.py 20000 picture
	@$(PYTHON) tests/soak/fuzz_guided.py 2000 bundle
	@.ci/setup-judges
	@DIAGNOSIS_DRAWS=50 $(PYTHON) -m pytest -q -s -m judge tests/judges/test_diagnosis_ngspice.py

bench: ## measure times, memory, growth and a thousand jobs (an hour), and write docs/performance.md and docs/many-jobs.md
	@.ci/setup --tests
	@$(PYTHON) tests/bench/bench.py
	@$(PYTHON) tests/bench/many.py

docs: ## write the generated pages of docs/ anew
	@.ci/setup --tests
	@$(PYTHON) docs/generate.py

gallery: ## make the README's pictures anew from the demo
	@.ci/setup --tests
	@$(PYTHON) docs/pictures.py

format: ## lay out the Python code as `make test` wants it
	@.ci/setup
	@.venv/bin/ruff check -q --fix .
	@.venv/bin/ruff format -q .

lock: ## resolve the dependencies anew and write the lock files
	@.ci/setup
	@.ci/lock

clean: ## remove all that was built, installed or written here
	rm -rf .venv .judges build dist out .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
