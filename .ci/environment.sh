# Sourced by the scripts that set rideready up: makes the virtual environment .venv of this checkout.
# Usage: . .ci/environment.sh; make_environment '.[test]'

as_root() {
  if [ "$(id -u)" = 0 ]; then "$@"; elif command -v sudo >/dev/null && sudo -n true 2>/dev/null; then sudo -n "$@"; else return 1; fi
}

# Install Debian packages when this user may; quiet unless something is wrong.
install_packages() {
  command -v apt-get >/dev/null || return 1
  as_root true || return 1
  as_root env DEBIAN_FRONTEND=noninteractive apt-get update -qq >/dev/null &&
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq "$@" >/dev/null
}

make_environment() {
  if ! python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
    echo "rideready needs Python 3.11 or newer; python3 here is $(python3 --version 2>&1 || echo missing)." >&2
    return 1
  fi
  if [ ! -x .venv/bin/python ]; then
    # Debian and Ubuntu split venv from python3.
    if ! python3 -m venv .venv >/dev/null 2>&1; then
      rm -rf .venv
      install_packages python3-venv || true
      python3 -m venv .venv || {
        echo "Cannot make a virtual environment. Run: sudo apt-get install -y python3-venv" >&2
        return 1
      }
    fi
  fi
  .venv/bin/python -m pip install --quiet --disable-pip-version-check --editable "$1"
}
