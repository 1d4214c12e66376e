.DEFAULT_GOAL := help
.PHONY: help run test check check-all format lock shots bench clean
PY := .venv/bin/python
PORT ?= 8000
WORKERS ?= 2

help:  ## say what there is
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

run:  ## set everything up and serve the site with the demo shop
	@.ci/setup
	@$(PY) manage.py start --port $(PORT)

test:  ## the whole suite (DATABASE_URL and REDIS_URL choose the services)
	@.ci/setup --dev
	$(PY) -m pytest -q -n $(WORKERS) -m "not slow" $(ARGS)

check:  ## lint, types, import contract, missing migrations, deployment settings
	@.ci/setup --dev
	.venv/bin/ruff check .
	.venv/bin/ruff format --check .
	.venv/bin/djlint --lint --quiet templates
	.venv/bin/mypy
	.venv/bin/lint-imports
	$(PY) manage.py makemigrations --check --dry-run
	HTTPS=1 ALLOWED_HOSTS=shop.example SECRET_KEY=$$($(PY) -c 'import secrets; print(secrets.token_urlsafe(64))') $(PY) manage.py check --deploy --fail-level WARNING

check-all: test check  ## the suite, the checks, and the slow exhaustive tests
	$(PY) -m pytest -q -n $(WORKERS) -m slow

format:  ## put code and imports in order
	.venv/bin/ruff check --fix --quiet .
	.venv/bin/ruff format .

lock:  ## renew both lock files from pyproject.toml (needs uv)
	uv pip compile -q --universal --generate-hashes --no-emit-index-url pyproject.toml -o requirements.lock
	uv pip compile -q --universal --generate-hashes --no-emit-index-url -c requirements.lock pyproject.toml --group dev --extra vin -o requirements-dev.lock

shots:  ## every page and paper of the demo at three widths, light and dark, into shots/
	@.ci/setup --dev
	$(PY) -m tests.browser.shots $(ARGS)

bench:  ## timings that compare in one run
	@.ci/setup --dev
	$(PY) -m tests.bench $(ARGS)

clean:  ## take away the environment and what was made; keeps the shop's data in var/
	rm -rf .venv .pytest_cache .ruff_cache .mypy_cache .hypothesis shots
