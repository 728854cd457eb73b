# The few commands of owllight. Meson does the building; this only names the ways to call it.
BUILD   ?= build
EXAMPLE ?= examples/marten.plan

.PHONY: run check check-long asan bench fuzz metrics clean ready $(BUILD)/owllight

$(BUILD)/owllight: ready
	@test -f $(BUILD)/build.ninja || meson setup $(BUILD) >/dev/null
	@ninja -C $(BUILD) --quiet

ready:
	@scripts/install

run: $(BUILD)/owllight          ## build, print the plan of the example watch, and at a terminal open the workbench with it
	@$(BUILD)/owllight plan $(EXAMPLE)
	@if [ -t 0 ] && [ -t 1 ]; then $(BUILD)/owllight open $(EXAMPLE); fi

check: $(BUILD)/owllight        ## everything that must hold before a change is handed on
	scripts/check $(BUILD)

check-long: $(BUILD)/owllight   ## the slow proofs
	scripts/check-long $(BUILD)

asan: ready                     ## the tests again under the address and undefined-behaviour sanitizers
	@test -f $(BUILD)-asan/build.ninja || CC=clang meson setup $(BUILD)-asan -Db_sanitize=address,undefined -Db_lundef=false -Dc_args=-fno-sanitize-recover=all >/dev/null
	LSAN_OPTIONS=suppressions=$(CURDIR)/tests/support/library-leaks.supp:print_suppressions=0 meson test -C $(BUILD)-asan --print-errorlogs

bench: $(BUILD)/owllight        ## timings, as ratios
	@scripts/install bench
	scripts/bench $(BUILD)

fuzz: ready                     ## FUZZ_RUNS inputs through the plan reader
	scripts/fuzz $(or $(FUZZ_RUNS),5000000)

metrics:                        ## sizes of functions and files, share of comments
	@scripts/metrics

clean:
	rm -rf build build-*
