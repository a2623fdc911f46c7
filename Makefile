# What a developer runs. `make help` lists it.
export CGO_ENABLED = 0
tool = go tool -modfile=tools/go.mod
generated = find . -name '*_templ.go' ! -path './.git/*' ! -path '*/node_modules/*'
FUZZTIME ?= 60s

help: ## this list
	@sed -n 's/^\([a-z-]*\):.*## /\1	/p' $(MAKEFILE_LIST) | expand -t 12

demo: ## the whole road on the invented study
	go run ./cmd/fallwright demo

check: ## everything CI runs
	./check

test: ## the tests alone, without what check installs (the browser test skips)
	go test ./...

format: ## gofumpt over the tree
	find . -name '*.go' ! -name '*_templ.go' ! -path './.git/*' ! -path '*/node_modules/*' | xargs $(tool) gofumpt -w

generate: ## pages' Go code and the web assets, from their sources
	$(tool) templ generate
	go run -C tools ./webbuild

verify: ## fails when generated files are not what their sources give
	@kept=$$(mktemp -d) && trap 'rm -rf "$$kept"' EXIT && set -e; \
	$(generated) | tar cf - -T - | tar xf - -C "$$kept"; \
	$(tool) templ generate; \
	for file in $$( ($(generated); cd "$$kept" && $(generated)) | sort -u); do \
		cmp -s "$$file" "$$kept/$$file" || { echo "verify: $$file was not what its source gives; now it is, look at it" >&2; bad=1; }; \
	done; \
	[ -z "$$bad" ]
	go run -C tools ./webbuild -check

bench: ## every benchmark, once; the figures are in docs/METHODS.md
	go test -run '^$$' -bench . -benchtime 3x ./...

fuzz: ## every reader of files, for FUZZTIME each (60s)
	@grep -rHo --include='*_test.go' '^func Fuzz[A-Za-z]*' traceio planfile | sort | while IFS=: read -r file target; do \
		echo "== $${target#func } of $$(dirname "$$file"), $(FUZZTIME)"; \
		go test -run '^$$' -fuzz "^$${target#func }$$" -fuzztime $(FUZZTIME) "./$$(dirname "$$file")" || exit 1; \
	done

.PHONY: help demo check test format generate verify bench fuzz
