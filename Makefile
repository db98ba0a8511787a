# SPDX-License-Identifier: GPL-3.0-or-later
# A thin face over CMake. `make run` and `make test` install what is missing (apt, as root or with sudo), then build.
BUILD ?= build
JOBS  ?= $(shell nproc 2>/dev/null || echo 2)
DESTDIR ?=
PREFIX ?= /usr/local

.PHONY: run test build program bench fuzz deep install check format pictures clean packages

# The whole; `program` is what running needs, without tests and benches
build: TARGETS =
program: TARGETS = --target leenest
build program: packages
	@[ -x $(BUILD)/leenest ] || echo "Building; the first time takes some minutes."
	@cmake -B $(BUILD) -S . -DLEENEST_PAGE=ON -DCMAKE_INSTALL_PREFIX=$(PREFIX) >$(BUILD).log 2>&1 || { cat $(BUILD).log; exit 1; }
	@cmake --build $(BUILD) -j $(JOBS) $(TARGETS) >>$(BUILD).log 2>&1 || { tail -40 $(BUILD).log; exit 1; }

packages:
	@sh tools/packages.sh build

run: program
	@rm -rf $(BUILD)/demo && mkdir -p $(BUILD)/demo
	@$(BUILD)/leenest demo --to $(BUILD)/demo/farm.leenest
	@$(BUILD)/leenest --farm $(BUILD)/demo/farm.leenest serve

test: build
	@sh tools/packages.sh test
	@ctest --test-dir $(BUILD) --output-on-failure -j $(JOBS)

bench: build
	@sh bench/run.sh $(BUILD)

# Ten minutes each by default: make fuzz SECONDS=60
SECONDS ?= 600
fuzz: packages
	@sh tools/packages.sh test
	@sh tests/fuzz/run.sh $(SECONDS)

# Sanitizers, fuzzing, clang-tidy: the better part of an hour
deep: packages
	@sh tools/packages.sh test
	@sh tools/deep.sh

install: build
	@DESTDIR=$(DESTDIR) cmake --install $(BUILD) --prefix $(PREFIX)

check:
	@sh tools/packages.sh test
	@sh tools/style.sh

format:
	@git ls-files '*.c' '*.h' | xargs clang-format -i

# The pictures of the README, from the demo farm
pictures: program
	@sh tools/packages.sh test
	@[ -e tests/ui/node_modules ] || (cd tests/ui && npm ci --ignore-scripts --no-audit --no-fund --silent)
	@LEENEST=$(abspath $(BUILD)/leenest) node tests/ui/pictures.mjs docs/pictures

clean:
	@rm -rf $(BUILD) $(BUILD).log
