#!/usr/bin/env bash
# Set up everything and run all tests, those in a real browser included.
# Usage: bash tests/run.sh [pytest arguments]
set -euo pipefail
cd "$(dirname "$0")/.."
. .ci/environment.sh

make_environment '.[test,postgres]'
if ! command -v chromium >/dev/null && ! install_packages chromium; then
  echo "No Chromium and no right to install it: the browser tests are skipped (sudo apt-get install -y chromium)." >&2
fi
if ! compgen -G '/usr/lib/postgresql/*/bin/postgres' >/dev/null && ! command -v postgres >/dev/null && ! install_packages postgresql; then
  echo "No PostgreSQL and no right to install it: its tests are skipped (sudo apt-get install -y postgresql)." >&2
fi
# One process a core; a file stays in one process, so that its fixtures are made once; tests/conftest.py orders them.
.venv/bin/python -m pytest -n auto --dist loadfile --no-loadscope-reorder "$@"
