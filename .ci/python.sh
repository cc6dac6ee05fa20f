#!/bin/sh
# Sets up .tools/python with the packages that tests/outside/requirements.txt pins, and leaves
# .tools/python/run, which starts Python with them. Does nothing when they are there already.
set -eu
cd "$(dirname "$0")/.."
python=${PYTHON:-python3}
wanted=tests/outside/requirements.txt
home=.tools/python

if cmp -s "$wanted" "$home/installed.txt" && "$home/run" -c 'import jiwer, num2words, faster_whisper, lxml, pocketsphinx' 2>/dev/null; then
    echo "already there: $home"
    exit 0
fi

echo "fetching about 175 MB of Python packages into $home (they unpack to about 545 MB)"
rm -rf "$home"
mkdir -p "$home"
if "$python" -m venv "$home/venv" 2>/dev/null; then
    "$home/venv/bin/python" -m pip install --disable-pip-version-check --requirement "$wanted"
    printf '#!/bin/sh\nexec "$(dirname "$0")/venv/bin/python" "$@"\n' >"$home/run"
else
    echo "Python's venv module does not work here; installing into a plain folder instead"
    rm -rf "$home/venv"
    "$python" -m pip install --disable-pip-version-check --target "$home/packages" --requirement "$wanted"
    printf '#!/bin/sh\nPYTHONPATH="$(dirname "$0")/packages" exec "%s" "$@"\n' "$python" >"$home/run"
fi
chmod +x "$home/run"
cp "$wanted" "$home/installed.txt"
