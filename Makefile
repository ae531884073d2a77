# One command per task. `make demo` and `make test` are all the set-up there is.
#
# A fresh Debian with Rust, make and a C linker is enough: what else a target needs (a browser for the browser tests,
# axe-core, a Python environment for the comparison bench) it installs or says how to.

SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DELETE_ON_ERROR:
.NOTPARALLEL:

CARGO ?= cargo
TARGET := $(or $(CARGO_TARGET_DIR),target)
SHOP := demo-shop
ADDRESS := 127.0.0.1:7340

.PHONY: demo demo-shop demo-build clean-demo test check lint docs tools bench fuzz load validation

## the demo: build, fill ./demo-shop with invented logs through the real importer, serve it
demo: demo-shop
	$(TARGET)/demo/plateau serve --shop $(SHOP) --listen $(ADDRESS)

## the same without serving; running it again adds nothing
demo-shop: demo-build
	$(TARGET)/demo/invent demo $(TARGET)/demo-logs >$(TARGET)/demo-logs.list
	sh $(TARGET)/demo-logs/keep.sh $(TARGET)/demo/plateau $(SHOP)

demo-build:
	$(CARGO) build --profile demo --bin plateau --bin invent

clean-demo:
	rm -rf $(SHOP) $(TARGET)/demo-logs $(TARGET)/demo-logs.list

## everything that CI runs
test: tools lint docs
	$(CARGO) test --workspace --doc
	$(CARGO) build --workspace --bins
	PLATEAU_FUZZ_SECONDS=$${PLATEAU_FUZZ_SECONDS:-10} PLATEAU_BIN="$$(realpath $(TARGET)/debug/plateau)" \
	  $(CARGO) test --workspace --lib --bins --tests --no-fail-fast

## the fast loop: format, lints, tests without the browser, the kill test and the long searches
check: lint
	$(CARGO) test --workspace --lib --bins --test it

lint:
	$(CARGO) fmt --all --check
	$(CARGO) clippy --workspace --all-targets -- -D warnings

docs:
	RUSTDOCFLAGS="-D warnings -A rustdoc::private_intra_doc_links" $(CARGO) doc --workspace --no-deps --document-private-items

## the browser, its driver and axe-core, for the browser tests
tools:
	tools/install_test_tools.sh $(TARGET)

## speed and memory, of what the release profile makes; ratios against polars, both in the same run
bench:
	$(CARGO) bench --workspace --bench '*'
	tools/bench_polars.sh $(TARGET)
	tools/bench_cantera.sh $(TARGET)

## thirty clients for ten minutes on a shop of 5,000 invented jobs with 200,000 readings and 20,000 photos; the shop is made
## once. A client pauses between half and one and a half times LOAD_PAUSE_MS; 0 is a stress test
LOAD_SECONDS ?= 600
LOAD_CLIENTS ?= 30
LOAD_PAUSE_MS ?= 1000
LOAD_JOBS ?= 5000
load:
	$(CARGO) build --profile demo --bin plateau --example load
	$(TARGET)/demo/examples/load fill $(TARGET)/load-shop --jobs $(LOAD_JOBS)
	$(TARGET)/demo/examples/load drive $(TARGET)/load-shop --seconds $(LOAD_SECONDS) --clients $(LOAD_CLIENTS) \
	  --pause-ms $(LOAD_PAUSE_MS)

## docs/validation: the model beside what is known, written anew
validation:
	$(CARGO) test -p cycle --test it -- flow_ --nocapture --test-threads=1 >$(TARGET)/validation-checks.txt
	$(CARGO) run --release -p cycle --example validation_page -- "$$(realpath $(TARGET)/validation-checks.txt)"

## the readers of logs, cell files and guard rules against made-up bytes; each of some 15 searches goes on for so many seconds
fuzz:
	PLATEAU_FUZZ_SECONDS=$${PLATEAU_FUZZ_SECONDS:-600} $(CARGO) test --profile demo -p pull --test it fuzz -- --nocapture
