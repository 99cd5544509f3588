#!/usr/bin/env bash
# Prepares the outside reader of calendars: a virtual environment under target/ with the iCalendar
# package of Python. Run it from anywhere; a second run finds everything there and does nothing.
set -euo pipefail
readonly VERSION=7.3.0
cd "$(dirname "$0")/../../../.."
python=target/python/bin/python3
installed() { "$python" -c 'import icalendar; print(icalendar.__version__)' 2>/dev/null || true; }
[ "$(installed)" = "$VERSION" ] && exit 0
python3 -m venv target/python
"$python" -m pip install --quiet --disable-pip-version-check "icalendar==$VERSION"
[ "$(installed)" = "$VERSION" ]
