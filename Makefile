# gluewright - build, demo and tests.  `make demo` and `make test` install the
# Debian packages they need; every other target only builds.
ifeq ($(origin CC),default)
CC = gcc
endif
BUILD ?= build
# `make V=1` shows the commands.
ifeq ($(V),1)
Q =
say = @:
else
Q = @
say = @printf '  %-6s %s\n'
endif
CSTD = -std=c17 -D_POSIX_C_SOURCE=200809L
WARN = -Wall -Wextra -Werror -Wshadow -Wstrict-prototypes -Wmissing-prototypes \
       -Wvla -Wformat=2 -Wpointer-arith -Wundef
OPT ?= -O2 -g
HARDEN ?= -fstack-protector-strong -D_FORTIFY_SOURCE=2 -fPIE
LDHARDEN ?= -pie -Wl,-z,relro,-z,now
SAN ?=
XML_CFLAGS = $(shell pkg-config --cflags libxml-2.0 jansson)
LIBS = $(shell pkg-config --libs libxml-2.0 jansson) -lhpdf -lm
CHECK_LIBS = $(shell pkg-config --libs check)
CFLAGS_ALL = $(CSTD) $(WARN) $(OPT) $(HARDEN) $(SAN) -Isrc -Iinclude -I$(BUILD)/gen \
             $(XML_CFLAGS) -MMD -MP $(CFLAGS)

LIB_SRC = $(filter-out src/cli/main.c,$(wildcard src/*/*.c))
LIB_OBJ = $(LIB_SRC:%.c=$(BUILD)/%.o)
LIB = $(BUILD)/libgluewright.a
UNIT = $(patsubst tests/unit/%.c,$(BUILD)/tests/%,$(wildcard tests/unit/test_*.c))
BENCH = $(patsubst tests/bench/%.c,$(BUILD)/bench/%,$(wildcard tests/bench/*.c))
GEN = $(BUILD)/gen/schema_text.h $(BUILD)/gen/relaxng_text.h $(BUILD)/gen/codes_text.h

.PHONY: all demo test unit bench clean
all: $(BUILD)/gluewright

$(BUILD)/gluewright: $(BUILD)/src/cli/main.o $(LIB)
	$(say) LINK $@
	$(Q)$(CC) $(LDHARDEN) $(SAN) -o $@ $^ $(LIBS)

$(LIB): $(LIB_OBJ)
	$(say) AR $@
	$(Q)rm -f $@ && ar qcs $@ $^

$(BUILD)/%.o: %.c | $(GEN)
	@mkdir -p $(@D)
	$(say) CC $<
	$(Q)$(CC) $(CFLAGS_ALL) -c -o $@ $<

$(BUILD)/tests/%: tests/unit/%.c $(LIB)
	@mkdir -p $(@D)
	$(say) CC $<
	$(Q)$(CC) $(CFLAGS_ALL) -Itests/unit $(LDHARDEN) -o $@ $< $(LIB) $(LIBS) $(CHECK_LIBS)

$(BUILD)/bench/%: tests/bench/%.c $(LIB)
	@mkdir -p $(@D)
	$(say) CC $<
	$(Q)$(CC) $(CFLAGS_ALL) $(LDHARDEN) -o $@ $< $(LIB) $(LIBS)

# ---- packages (Debian names) -------------------------------------------------
PACKAGES = gcc libc6-dev make pkg-config libxml2-dev libhpdf-dev libjansson-dev \
           fonts-sil-andika fonts-dejavu-core
TEST_PACKAGES = $(PACKAGES) check clang valgrind python3 python3-networkx python3-jsonschema \
                libxml2-utils jing qpdf poppler-utils mupdf-tools python3-pil tesseract-ocr \
                tesseract-ocr-eng

# Asks the package manager only when something is missing; nothing is asked of
# the person at the keyboard but, maybe, a password by sudo.
define install
	@missing=; for p in $(1); do \
	  dpkg-query -W -f='$${Status}' $$p 2>/dev/null | grep -q 'ok installed' || missing="$$missing $$p"; \
	done; \
	if [ -n "$$missing" ]; then \
	  echo "installing:$$missing"; \
	  if [ "$$(id -u)" = 0 ]; then root=; else root=sudo; fi; \
	  $$root apt-get update -q && \
	  $$root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $$missing; \
	fi
endef

.PHONY: demo-packages test-packages
demo-packages:
	$(call install,$(PACKAGES))
test-packages:
	$(call install,$(TEST_PACKAGES))

# Sub-makes, since what pkg-config finds changes with the packages.
demo: demo-packages
	$(Q)$(MAKE) --no-print-directory all
	$(BUILD)/gluewright check projects/lantern-chest.xml
	$(BUILD)/gluewright print projects/lantern-chest.xml -o output
	@ls -l output/*.pdf

test: test-packages
	$(Q)BUILD=$(BUILD) sh tests/run.sh

unit: $(UNIT)
bench: $(BENCH) $(BUILD)/gluewright

clean:
	rm -rf $(BUILD)

# The schema is completed from the table of joint kinds.
$(BUILD)/gen/mkschema: src/read/schema/mkschema.c src/model/model.c src/model/kinds.def src/base/base.c
	@mkdir -p $(@D)
	$(Q)$(CC) $(CSTD) $(WARN) -Isrc -o $@ src/read/schema/mkschema.c src/model/model.c src/base/base.c

$(BUILD)/gen/schema_text.h: src/read/schema/piece.xsd.in $(BUILD)/gen/mkschema
	$(Q)$(BUILD)/gen/mkschema $< $(BUILD)/gluewright.xsd $@

# Its other forms: RELAX NG and the reference in the manual.
$(BUILD)/gen/mkforms: src/read/schema/mkforms.c
	@mkdir -p $(@D)
	$(Q)$(CC) $(CSTD) $(WARN) $(XML_CFLAGS) -o $@ $< $(LIBS)

$(BUILD)/gen/relaxng_text.h: $(BUILD)/gen/schema_text.h src/cli/man/gluewright.5.in $(BUILD)/gen/mkforms
	$(Q)$(BUILD)/gen/mkforms $(BUILD)/gluewright.xsd $(BUILD)/gluewright.rng $@ \
	  src/cli/man/gluewright.5.in $(BUILD)/gluewright.5

# What each code of a finding means, with lines out of its example.
$(BUILD)/gen/mkcodes: src/cli/codes/mkcodes.c src/cli/codes/codes.def
	@mkdir -p $(@D)
	$(Q)$(CC) $(CSTD) $(WARN) -Isrc -o $@ $<

$(BUILD)/gen/codes_text.h: $(BUILD)/gen/mkcodes $(wildcard tests/broken/*.xml tests/noted/*.xml tests/codes/*.xml)
	$(Q)$(BUILD)/gen/mkcodes tests $@

-include $(wildcard $(BUILD)/src/*/*.d $(BUILD)/tests/*.d $(BUILD)/bench/*.d)
