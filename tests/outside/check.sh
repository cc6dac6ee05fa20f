#!/bin/sh
# The checks that need Python: the tables that the tests read are still what the outside programs write, and
# the spoken samples are the ones that their case.toml files name. Runs all of them; status 1 if any fails.
cd "$(dirname "$0")/../.." || exit 1
failed=0
for script in spoken_numbers jiwer_pairs; do
    .tools/python/run "tests/outside/$script.py" --check || failed=1
done
"${PYTHON:-python3}" audio-samples/make.py --check || failed=1
[ $failed = 0 ] && echo "outside checks: all passed" || echo "outside checks: FAILED" >&2
exit $failed
