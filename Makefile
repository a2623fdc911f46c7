# What a developer runs. `make help` lists it.
export CGO_ENABLED = 0
tool = go tool -modfile=tools/go.mod

help: ## this list
	@sed -n 's/^\([a-z-]*\):.*## /\1	/p' $(MAKEFILE_LIST) | expand -t 12

demo: ## the whole road on the invented study
	go run ./cmd/fallwright demo

check: ## everything CI runs
	./check

test: ## the tests alone, without what check installs (the browser test skips)
	go test ./...

format: ## gofumpt over the tree
	git ls-files '*.go' | grep -v _templ.go | xargs $(tool) gofumpt -w

generate: ## pages' Go code and the web assets, from their sources
	$(tool) templ generate
	go run -C tools ./webbuild

verify: ## fails when generated files are not what their sources give
	$(tool) templ generate
	git diff --exit-code --stat -- '*_templ.go'
	go run -C tools ./webbuild -check

bench: ## every benchmark, once; the figures are in docs/METHODS.md
	go test -run '^$$' -bench . -benchtime 3x ./...

fuzz: ## the reader of delimited text, for a minute
	go test -run '^$$' -fuzz . -fuzztime 60s ./traceio/delimited

.PHONY: help demo check test format generate verify bench fuzz
