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
HARDEN ?= -fstack-protector-strong -D_FORTIFY_SOURCE=2 -fPIC
LDHARDEN ?= -pie -Wl,-z,relro,-z,now
SAN ?=
XML_CFLAGS = $(shell pkg-config --cflags libxml-2.0 jansson)
LIBS = $(shell pkg-config --libs libxml-2.0 jansson) -lhpdf -lm
CHECK_LIBS = $(shell pkg-config --libs check)
# Nothing but the interface in include/ is seen outside the shared library.
VISIBLE = -fvisibility=hidden
CFLAGS_ALL = $(CSTD) $(WARN) $(OPT) $(HARDEN) $(VISIBLE) $(SAN) -Isrc -Iinclude -I$(BUILD)/gen \
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
TEST_PACKAGES = $(PACKAGES) glpk-utils check clang libclang-rt-14-dev valgrind python3 python3-networkx python3-numpy python3-jsonschema \
                libxml2-utils jing qpdf poppler-utils mupdf-tools python3-pil tesseract-ocr \
                tesseract-ocr-eng mandoc zsh dpkg-dev lintian binutils zlib1g-dev liblzma-dev

LONG_PACKAGES = $(TEST_PACKAGES) cppcheck clang-tidy clang-tools locales debootstrap

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

.PHONY: demo-packages test-packages long-packages test-long
demo-packages:
	$(call install,$(PACKAGES))
test-packages:
	$(call install,$(TEST_PACKAGES))
long-packages:
	$(call install,$(LONG_PACKAGES))

# Sub-makes, since what pkg-config finds changes with the packages.
demo: demo-packages
	$(Q)$(MAKE) --no-print-directory all
	$(BUILD)/gluewright check projects/lantern-chest.xml
	$(BUILD)/gluewright print projects/lantern-chest.xml -o output
	@ls -l output/*.pdf

test: test-packages
	$(Q)BUILD=$(BUILD) sh tests/run.sh

# Hours.
test-long: long-packages
	$(Q)sh tests/long/run.sh $(BUILD)

unit: $(UNIT)
bench: $(BENCH) $(BUILD)/gluewright

# ---- fuzzing: libFuzzer programs in $(BUILD)/fuzz; see tests/fuzz/run.sh ----------
FUZZERS = $(patsubst tests/fuzz/fuzz_%.c,$(BUILD)/fuzz_%,$(wildcard tests/fuzz/fuzz_*.c))
.PHONY: fuzz fuzzers
fuzz:
	$(Q)$(MAKE) --no-print-directory BUILD=$(BUILD)/fuzz CC=clang OPT="-O1 -g" HARDEN= LDHARDEN= \
	  SAN="-fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all" fuzzers
fuzzers: $(FUZZERS)
$(BUILD)/fuzz_%: tests/fuzz/fuzz_%.c tests/fuzz/mutate.c tests/fuzz/fuzz.h $(LIB)
	$(say) LINK $@
	$(Q)$(CC) $(subst fuzzer-no-link,fuzzer,$(CFLAGS_ALL)) -Itests/fuzz -o $@ \
	  $(filter %.c,$^) $(LIB) $(LIBS)

clean:
	rm -rf $(BUILD)

# ---- library -------------------------------------------------------------------
VERSION := $(shell sed -n 's/^\#define GW_VERSION "\(.*\)"/\1/p' src/cli/cli.h)
SONAME = libgluewright.so.0
SHARED = $(BUILD)/lib/libgluewright.so.$(VERSION)
STATIC = $(BUILD)/lib/libgluewright.a

.PHONY: lib
lib: $(SHARED) $(STATIC)

$(SHARED): $(BUILD)/src/api/api.o $(LIB)
	@mkdir -p $(@D)
	$(say) LINK $@
	$(Q)$(CC) -shared -Wl,-soname,$(SONAME) -Wl,-z,relro,-z,now -Wl,--no-undefined -o $@ $^ $(LIBS)
	$(Q)ln -sf $(@F) $(@D)/$(SONAME) && ln -sf $(SONAME) $(@D)/libgluewright.so

# One object in which the inner names are no longer seen.
$(STATIC): $(BUILD)/src/api/api.o $(LIB)
	@mkdir -p $(@D)
	$(say) AR $@
	$(Q)$(LD) -r -o $(@D)/gluewright.o $^ && objcopy --localize-hidden $(@D)/gluewright.o
	$(Q)rm -f $@ && ar qcs $@ $(@D)/gluewright.o

# ---- installation ----------------------------------------------------------------
PREFIX ?= /usr/local
bindir ?= $(PREFIX)/bin
libdir ?= $(PREFIX)/lib
includedir ?= $(PREFIX)/include
datadir ?= $(PREFIX)/share
mandir ?= $(datadir)/man
docdir ?= $(datadir)/doc/gluewright
bashdir ?= $(datadir)/bash-completion/completions
zshdir ?= $(datadir)/zsh/site-functions
INSTALL ?= install
PROJECTS = $(wildcard projects/*.xml)

.PHONY: install install-command install-library uninstall deb
install: install-command install-library

install-command: all
	$(INSTALL) -d $(addprefix $(DESTDIR),$(bindir) $(mandir)/man1 $(mandir)/man5 $(bashdir) $(zshdir) \
	  $(datadir)/gluewright $(docdir)/examples)
	$(INSTALL) -m 755 $(BUILD)/gluewright $(DESTDIR)$(bindir)/gluewright
	sed -e 's|@DATADIR@|$(datadir)|; s|@DOCDIR@|$(docdir)|' src/cli/man/gluewright.1 >$(BUILD)/gluewright.1
	$(INSTALL) -m 644 $(BUILD)/gluewright.1 $(DESTDIR)$(mandir)/man1/
	$(INSTALL) -m 644 $(BUILD)/gluewright.5 $(DESTDIR)$(mandir)/man5/
	$(INSTALL) -m 644 src/cli/completion/gluewright.bash $(DESTDIR)$(bashdir)/gluewright
	$(INSTALL) -m 644 src/cli/completion/_gluewright $(DESTDIR)$(zshdir)/_gluewright
	$(INSTALL) -m 644 $(BUILD)/gluewright.xsd $(BUILD)/gluewright.rng $(DESTDIR)$(datadir)/gluewright/
	$(INSTALL) -m 644 $(PROJECTS) $(DESTDIR)$(docdir)/examples/

install-library: lib
	$(INSTALL) -d $(addprefix $(DESTDIR),$(libdir)/pkgconfig $(includedir)/gluewright)
	$(INSTALL) -m 755 $(SHARED) $(DESTDIR)$(libdir)/
	ln -sf $(notdir $(SHARED)) $(DESTDIR)$(libdir)/$(SONAME)
	ln -sf $(SONAME) $(DESTDIR)$(libdir)/libgluewright.so
	$(INSTALL) -m 644 $(STATIC) $(DESTDIR)$(libdir)/
	$(INSTALL) -m 644 include/gluewright/gluewright.h $(DESTDIR)$(includedir)/gluewright/
	sed -e 's|@PREFIX@|$(PREFIX)|; s|@VERSION@|$(VERSION)|' \
	  -e 's|@LIBDIR@|$(libdir:$(PREFIX)/%=$${prefix}/%)|' \
	  -e 's|@INCLUDEDIR@|$(includedir:$(PREFIX)/%=$${prefix}/%)|' \
	  src/packaging/gluewright.pc.in >$(BUILD)/gluewright.pc
	$(INSTALL) -m 644 $(BUILD)/gluewright.pc $(DESTDIR)$(libdir)/pkgconfig/

# Takes out what install put there, and the folders that are its own.
uninstall:
	rm -f $(addprefix $(DESTDIR),$(bindir)/gluewright $(mandir)/man1/gluewright.1 \
	  $(mandir)/man5/gluewright.5 $(bashdir)/gluewright $(zshdir)/_gluewright \
	  $(datadir)/gluewright/gluewright.xsd $(datadir)/gluewright/gluewright.rng \
	  $(PROJECTS:projects/%=$(docdir)/examples/%) $(libdir)/libgluewright.so.$(VERSION) \
	  $(libdir)/$(SONAME) $(libdir)/libgluewright.so $(libdir)/libgluewright.a \
	  $(libdir)/pkgconfig/gluewright.pc $(includedir)/gluewright/gluewright.h)
	-rmdir $(addprefix $(DESTDIR),$(datadir)/gluewright $(docdir)/examples $(docdir) \
	  $(includedir)/gluewright) 2>/dev/null

# A Debian package of the command.
deb: all
	$(Q)sh src/packaging/deb.sh $(BUILD) $(VERSION)

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
