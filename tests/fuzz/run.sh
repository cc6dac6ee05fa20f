#!/bin/sh
# Fuzzes one target for some seconds: tests/fuzz/run.sh loader 60
# Targets: loader, own_words, parser. It needs no cargo-fuzz and no nightly compiler: it builds with the coverage that
# libFuzzer reads and without a sanitizer, as `cargo fuzz run --fuzz-dir tests/fuzz --sanitizer none TARGET` would.
# What it finds is kept in tests/fuzz/artifacts, what it learns in tests/fuzz/corpus. Status 1 if it finds something.
set -e
cd "$(dirname "$0")"
target=${1:?name a target: loader, own_words or parser}
seconds=${2:-60}
host=$(rustc -vV | sed -n 's/^host: //p')
RUSTFLAGS="-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 \
-Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table \
-Cllvm-args=-sanitizer-coverage-trace-compares --cfg fuzzing" \
    "${CARGO:-cargo}" build --release --target "$host" --bin "$target"
mkdir -p "corpus/$target" "artifacts/$target"
"${PYTHON:-python3}" seeds.py "$target" "corpus/$target"
exec "target/$host/release/$target" "corpus/$target" -artifact_prefix="artifacts/$target/" \
    -max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 -max_len=8192 -print_final_stats=1
