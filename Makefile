# Needs Go (go.mod says which) and make. docs/architecture.md says what is where.
export CGO_ENABLED = 0

BIN   := bin/sallyport
TOOLS := bin/tools

.PHONY: all build demo picture test check lint race bench fuzz clean

all: build

# The version of a build is the commit it was made from (go build stamps it).
build:
	go build -trimpath -o $(BIN) ./cmd/sallyport

# Plans the demonstration show and says where the files are.
demo: build
	$(BIN) demo --out out/demo

# The picture in README.md.
picture: demo
	$(BIN) draw out/demo/show.xlsx out/demo/plan.json --at "Saturday 10:00" --svg docs/park.svg --force

# Sets up and passes all tests. Tests of the page in a real browser are skipped,
# with a message, where no Chromium is found.
test: build
	go test ./...

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
	rm -rf bin out
