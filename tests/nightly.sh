#!/usr/bin/env bash
# What is too long for each change: every property on many examples, over twenty thousand broken inputs, two hundred
# edits of known effect that a comparison has to tell, faults seeded into the calculations and rules, and every writer
# killed and raced for good.
# Runs in the environment of DEVELOPERS.md, from anywhere.
set -euo pipefail
cd "$(dirname "$0")/.."

python=${PYTHON:-python}
status=0
PROGDOC_EXAMPLES=${PROGDOC_EXAMPLES:-20} "$python" -m pytest -n auto --dist worksteal || status=1
PROGDOC_EXAMPLES=${PROGDOC_BROKEN:-100} "$python" -m pytest -n auto --dist worksteal tests/fuzz || status=1
"$python" tests/mutation/run.py progdoc/calc || status=1
"$python" tests/mutation/run.py progdoc/rules --sample 200 --seed "$(date +%j)" || status=1
"$python" tests/hard_trials.py kills "${PROGDOC_KILLS:-200}" || status=1
"$python" tests/hard_trials.py races "${PROGDOC_KILLS:-200}" || status=1
exit "$status"
