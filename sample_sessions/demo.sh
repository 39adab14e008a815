#!/usr/bin/env bash
# Set up rideready, import the sample sessions into a demo store of their own, print the recovery
# table and open the dashboard. Usage: bash sample_sessions/demo.sh [options of "rideready demo"]
set -euo pipefail
cd "$(dirname "$0")/.."
. .ci/environment.sh

make_environment .
.venv/bin/rideready demo "$@"
