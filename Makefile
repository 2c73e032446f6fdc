# Two commands a newcomer needs: `make demo` and `make test`. Each makes what it needs first.
.DELETE_ON_ERROR:
.PHONY: demo test check bench soak clips schema format clean

PY := .venv/bin/python
READY := .venv/.ready

demo: $(READY)
	$(PY) -m app.main demo --out demo_out

test: $(READY)
	$(PY) -m pytest -q -n 2 --dist loadfile -m "not soak and not bench"

check: $(READY)
	$(PY) -m ruff check .
	$(PY) -m ruff format --check .
	$(PY) -m mypy
	PYTHONPATH=. .venv/bin/lint-imports

bench: $(READY)
	$(PY) -m pytest -q -s -m bench tests/bench

soak: $(READY)
	$(PY) -m pytest -q -s -o faulthandler_timeout=900 -m soak

# Renders the sample clips again; they are committed, so this is only for changing them.
clips: $(READY)
	$(PY) -m sample_clips.render

format: $(READY)
	$(PY) -m ruff format .
	$(PY) -m ruff check --fix .

clean:
	rm -rf .venv demo_out .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache

$(READY): .ci/prepare .ci/requirements.txt pyproject.toml
	bash .ci/prepare
	@touch $@
