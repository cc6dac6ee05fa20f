#!/bin/sh
# The demo: a recorded assessment is heard, confirmed and kept, and the case is shown. Everything happens in
# a temporary folder that is deleted at the end.
# COUCHSIDE names the program, COUCHSIDE_MODELS (optional) the folder of the speech models.
set -eu
cd "$(dirname "$0")/.."
couchside=${COUCHSIDE:-target/release/couchside}
recording=audio-samples/knee-and-hip-assessment/speech.wav

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
trap 'exit 130' INT
trap 'exit 143' TERM

# A throw-away passphrase, readable by this user alone.
(umask 077 && od -An -N16 -tx1 /dev/urandom | tr -d ' \n' >"$folder/passphrase" && echo >>"$folder/passphrase")
export COUCHSIDE_HOME="$folder/record" COUCHSIDE_PASSPHRASE_FILE="$folder/passphrase"

say() { printf '\n%s\n' "$*"; }
show_and_do() {
    printf '\n  $ couchside %s\n\n' "$*"
    "$couchside" "$@"
}

say "This demo hears a recorded assessment of a knee and a hip (synthetic voices, an invented client).
Its record and its passphrase are throw-aways: they lie in a temporary folder, deleted when the demo ends."

say "1. An empty, encrypted record."
show_and_do record new

say "2. The recording is heard. What the therapist dictates is said back, and kept once confirmed aloud;
   what is said to the client is left alone."
show_and_do listen --client demo-1 --from "$recording"

say "3. What is in the record now."
show_and_do show --client demo-1

cat <<'END'

That was a recording. To dictate yourself, with a microphone and a passphrase of your own:

  couchside devices                 which microphones there are
  couchside record new              makes your record and asks for a passphrase; keep it safe
  couchside listen --client CODE    CODE is your own short code for a client, never a name
  couchside page                    what is recorded, in your browser: look through, correct, sign off, search

END
printf 'The program is %s in this folder. Begin with: "right hip flexion active one ten".\n' "$couchside"
cat <<'END'
Wait for the read-back, then say "confirm". Say "disregard" to drop it, or "correction one fifteen" to mend it.
END
