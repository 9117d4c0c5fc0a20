# Kitwright. `make demo`, `make test`; `make help` lists the rest.
# A second compiler or a private object folder: make CC=clang BUILD=build/clang ...
ifeq ($(origin CC),default)
CC := gcc
endif
BUILD ?= build
OPT ?= -O2
WARN := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror
PACKAGES := libfyaml geos jansson cairo pangocairo libqrencode freetype2 fontconfig expat
CFLAGS_ALL := -std=c17 -g $(OPT) -ffp-contract=off -D_GNU_SOURCE -Isrc -I. $(WARN) -MMD -MP $(CFLAGS)
LDLIBS := -lfyaml -lgeos_c -ljansson -lcairo -lpangocairo-1.0 -lpango-1.0 -lgobject-2.0 -lglib-2.0 -lqrencode -lmicrohttpd -lfontconfig -lfreetype -lexpat -lCbcSolver -lClp -lm -pthread

ifdef SAN
CFLAGS_ALL += -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
LDFLAGS += -fsanitize=address,undefined
endif

MODULES := $(notdir $(patsubst %/,%,$(wildcard src/*/))) server
sources_of = $(wildcard src/$(1)/*.c) $(if $(filter server,$(1)),$(wildcard server/*.c))
objects_of = $(patsubst %.c,$(BUILD)/o/%.o,$(1)) $(if $(filter server/page.c,$(1)),$(BUILD)/o/assets.o)
LIB_SOURCES := $(foreach m,$(MODULES),$(call sources_of,$(m)))
CLI_SOURCES := $(wildcard cli/*.c)
BENCH_SOURCES := $(wildcard bench/*.c)
UNIT_SOURCES := $(wildcard tests/unit/*.c) $(wildcard tests/outside/*.c)
FUZZ_SOURCES := $(wildcard fuzz/*.c)

.DELETE_ON_ERROR:
.PHONY: all help setup demo test proof bench format install clean lint headers layers fuzz-replay
all: $(BUILD)/kitwright

help:
	@echo "make setup    install what is missing from Debian and npm (root or sudo)"
	@echo "make          build build/kitwright"
	@echo "make demo     plan the demo shop's week and say where the packet is"
	@echo "make test     everything in minutes        make proof   the full counts"
	@echo "make bench    figures into docs/bench.md   make format  clang-format"
	@echo "make unit-M   the tests of one module M    make lint    clang-tidy"
	@echo "make install  PREFIX=/usr/local"

# The packages that pkg-config reads from Debian; missing headers stop the build with a clear word.
$(BUILD)/flags: tools/setup
	@mkdir -p $(BUILD)
	@pkg-config --cflags cairo pangocairo freetype2 fontconfig > $@ 2>/dev/null || { rm -f $@; echo "run: make setup"; exit 1; }

$(BUILD)/o/%.o: %.c $(BUILD)/flags
	@mkdir -p $(@D)
	$(CC) $(CFLAGS_ALL) $$(sed 's/-I/-isystem /g' $(BUILD)/flags) -c -o $@ $<

# The page is part of the program: its files change when web/dist does.
$(BUILD)/assets.c: tools/embed server/placeholder.html $(shell find web/dist -type f 2>/dev/null)
	@mkdir -p $(@D)
	tools/embed $(abspath $@)
# may go while the page is built anew
web/dist/%: ;
$(BUILD)/o/assets.o: $(BUILD)/assets.c server/inside.h server/server.h
	@mkdir -p $(@D)
	$(CC) $(CFLAGS_ALL) -c -o $@ $<

$(BUILD)/o/server/schema_api.o: $(wildcard server/schemas/*)
$(BUILD)/o/server/kit_api.o: $(wildcard server/examples/*)

LIB_OBJECTS := $(call objects_of,$(LIB_SOURCES))
$(BUILD)/kitwright: $(call objects_of,$(CLI_SOURCES)) $(LIB_OBJECTS)
	$(CC) $(LDFLAGS) -o $@ $^ -Wl,--as-needed $(LDLIBS)
$(BUILD)/kw-bench: $(call objects_of,$(BENCH_SOURCES)) $(LIB_OBJECTS)
	$(CC) $(LDFLAGS) -o $@ $^ -Wl,--as-needed $(LDLIBS)
$(BUILD)/run-tests: $(call objects_of,$(UNIT_SOURCES)) $(LIB_OBJECTS)
	$(CC) $(LDFLAGS) -o $@ $^ -Wl,--as-needed -lcriterion $(LDLIBS)

# One module's tests, built from it and what it stands on alone: make unit-nest
define module_rules
$(BUILD)/unit-$(1): $(call objects_of,$(wildcard tests/unit/$(1)_*.c) $(wildcard tests/outside/$(1)_*.c)) $(foreach m,$(shell tools/modules $(1)),$(call objects_of,$(call sources_of,$(m))))
	$(CC) $(LDFLAGS) -o $$@ $$^ -Wl,--as-needed -lcriterion $(LDLIBS)
.PHONY: unit-$(1)
unit-$(1): $(BUILD)/unit-$(1)
	$(BUILD)/unit-$(1) --jobs 2
endef
$(foreach m,$(MODULES),$(eval $(call module_rules,$(m))))

# Fuzz targets: fuzz/NAME.c with LLVMFuzzerTestOneInput; replay/NAME runs saved inputs without it.
$(BUILD)/plain.c: tools/embed server/placeholder.html
	@mkdir -p $(@D)
	tools/embed $(abspath $@) --plain
$(BUILD)/fuzz-%: fuzz/%.c $(LIB_SOURCES) $(BUILD)/plain.c $(BUILD)/flags
	clang $(CFLAGS_ALL) $$(sed 's/-I/-isystem /g' $(BUILD)/flags) -DFUZZING_BUILD_MODE_UNSAFE_FOR_PRODUCTION -fsanitize=fuzzer,address,undefined -o $@ $< $(LIB_SOURCES) $(BUILD)/plain.c -Wl,--as-needed $(LDLIBS)
$(BUILD)/replay-%: $(BUILD)/o/fuzz/%.o $(BUILD)/o/fuzz/replay/replay.o $(LIB_OBJECTS)
	$(CC) $(LDFLAGS) -o $@ $^ -Wl,--as-needed $(LDLIBS)

setup:
	tools/setup
demo:
	tools/setup
	$(MAKE) $(BUILD)/kitwright
	tools/demo $(BUILD)/kitwright
test:
	tools/setup --tests
	tools/test
proof:
	tools/setup --tests
	tools/proof
bench: $(BUILD)/kw-bench $(BUILD)/kitwright
	tools/bench $(BUILD)
format:
	clang-format -i $$(git ls-files '*.c' '*.h')
lint: $(BUILD)/flags
	tools/lint $(BUILD)
layers:
	tools/check-layers
headers: $(BUILD)/flags
	tools/check-headers $(CC)

PREFIX ?= /usr/local
install: $(BUILD)/kitwright
	install -D $(BUILD)/kitwright $(DESTDIR)$(PREFIX)/bin/kitwright
	install -D -m 644 README.md $(DESTDIR)$(PREFIX)/share/doc/kitwright/README.md
clean:
	rm -rf build

.PRECIOUS: $(BUILD)/o/%.o
-include $(shell find $(BUILD)/o -name '*.d' 2>/dev/null)
