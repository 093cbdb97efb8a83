# Needs Go (go.mod says which) and make; Node for the screens, without which the
# program is built without them. docs/architecture.md says what is where.
export CGO_ENABLED = 0

BIN   := bin/sallyport
TOOLS := bin/tools

.PHONY: all build ui demo picture test test-ui e2e check lint race bench load fuzz clean

all: build

# The version of a build is the commit it was made from (go build stamps it).
build: ui
	go build -trimpath -o $(BIN) ./cmd/sallyport

# The screens, which go into the program. They are built anew when their sources
# have changed.
SCREENS := ui/dist/index.html
NPM     := $(shell command -v npm 2>/dev/null)
ifneq ($(and $(NPM),$(wildcard ui/package.json)),)
ui: $(SCREENS)

$(SCREENS): ui/node_modules/.package-lock.json $(shell find ui/src ui/public ui/*.html ui/*.ts ui/*.js ui/package.json -type f 2>/dev/null)
	cd ui && npm run build
	@touch ui/dist/.gitkeep $(SCREENS)

ui/node_modules/.package-lock.json: ui/package-lock.json
	cd ui && npm ci --no-audit --no-fund
	@touch $@

test-ui: ui
	cd ui && npm run check && npm test
else
ui test-ui:
	@echo "The screens are left out: building and testing them needs Node and npm."
endif

# Plans the demonstration show, then serves it with the table open in the
# browser; without a display the address is printed. make demo ARGS=--exit plans
# and exits.
demo: build
	$(BIN) demo --out out/demo
ifneq ($(strip $(ARGS)),--exit)
	$(BIN) serve --demo --db out/demo/sallyport.db $(ARGS)
endif

# The drawing in README.md; docs/table.png is the table in a browser.
picture: build
	$(BIN) demo --out out/demo
	$(BIN) draw out/demo/show.xlsx out/demo/plan.json --at "Saturday 10:00" --svg docs/park.svg --force

# Sets up and passes all tests. Tests of the page in a real browser are skipped,
# with a message, where no Chromium is found.
test: build test-ui
	go test ./...

# The planning table in a real browser: the real program, its real screens.
e2e: ui
	go test -count=1 ./ui/e2e

# Everything that CI runs.
check: lint test race

lint: $(TOOLS)/staticcheck $(TOOLS)/gofumpt
	go vet ./...
	@out=$$($(TOOLS)/gofumpt -l $$(git ls-files '*.go')); if [ -n "$$out" ]; then echo "gofumpt would change:"; echo "$$out"; exit 1; fi
	$(TOOLS)/staticcheck ./...

# The race detector needs cgo and a C compiler.
race:
	CGO_ENABLED=1 go test -race -short ./...

$(TOOLS)/staticcheck: tools/go.mod
	cd tools && go build -o ../$@ honnef.co/go/tools/cmd/staticcheck

$(TOOLS)/gofumpt: tools/go.mod
	cd tools && go build -o ../$@ mvdan.cc/gofumpt

# Go benchmarks, then the tables of bench/results.md.
bench:
	go test -run '^$$' -bench . -benchmem ./...
	go run ./bench/run -table plan

# Readers and editors at a server on this machine, for the table of bench/results.md.
load: build
	go run ./bench/load

# Every fuzz target in turn, FUZZTIME each.
FUZZTIME ?= 30s
fuzz:
	@for dir in $$(go list -f '{{.Dir}}' ./...); do \
	  for name in $$(grep -ho '^func Fuzz[A-Za-z0-9_]*' $$dir/*_test.go 2>/dev/null | sed 's/^func //'); do \
	    echo "$$dir $$name"; \
	    go test $$dir -run '^$$' -fuzz "^$$name$$" -fuzztime $(FUZZTIME) || exit 1; \
	  done; \
	done

clean:
	rm -rf bin out ui/node_modules
	find ui/dist -mindepth 1 ! -name .gitkeep -delete
