package main

import (
	"bytes"
	"context"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fallwright.example/store/sqlite"
)

// said runs the program and returns its exit code and what it says on standard
// error.
func said(t *testing.T, args ...string) (int, string) {
	t.Helper()
	var out, errs bytes.Buffer
	ctx, stop := context.WithTimeout(t.Context(), 20*time.Second)
	defer stop()
	code := run(ctx, args, strings.NewReader(""), &out, &errs)
	return code, errs.String()
}

// What is wrong with a command line is said in the program's own words, each
// with what to write.
func TestMisuse(t *testing.T) {
	cases := []struct{ line, want string }{
		{"read x.csv --mass 80,5", "--mass: \"80,5\" has a comma, and numbers here have a decimal point\nhint: write --mass 80.5\nhint: fallwright read --help lists what it takes"},
		{"read x.csv --drop 1.42m", "--drop: \"1.42m\" is not a number alone\nhint: write the number without its unit, in m: --drop 1.42\nhint: fallwright read --help lists what it takes"},
		{"read x.csv --mass heavy", "--mass: \"heavy\" is no number that is taken here\nhint: write --mass KG\nhint: fallwright read --help lists what it takes"},
		{"read x.csv --mass 1e999", "--mass: \"1e999\" is not a number alone\nhint: write the number without its unit, in kg: --mass 1\nhint: fallwright read --help lists what it takes"},
		{"read x.csv --mas 80", "--mas: fallwright read has no such flag\nhint: write --mass\nhint: fallwright read --help lists what it takes"},
		{"compare --study=x --colour", "--colour: fallwright compare has no such flag\nhint: fallwright compare --help lists what it takes"},
		{"compare --jsno", "--jsno: fallwright compare has no such flag\nhint: write --json\nhint: fallwright compare --help lists what it takes"},
		{"compare -json", "-json: there is no such flag\nhint: flags are words here, with two hyphens: --json\nhint: fallwright compare --help lists what it takes"},
		{"compare --book", "--book: it is given without a value\nhint: write --book FILE\nhint: fallwright compare --help lists what it takes"},
		{"compare --json=maybe", "--json: \"maybe\" is neither true nor false\nhint: write --json alone, or leave it out\nhint: fallwright compare --help lists what it takes"},
		{"compare wet", "--value: it is not said which column has the values\nhint: write --value COLUMN, or --wide COLUMNS where they stand beside each other\nhint: fallwright compare --help lists what it takes"},
		{"plan", "fallwright plan: it takes STUDY.toml, and nothing is given\nhint: fallwright plan --help lists what it takes"},
		{"book weigh A 212 g", "fallwright book weigh: it takes SPECIMEN MASS, and 3 words are given\nhint: a name or a text with spaces needs quotes\nhint: fallwright book weigh --help lists what it takes"},
		{"book void A/1 --loaded", "fallwright book void: --because is missing\nhint: write --because REASON\nhint: fallwright book void --help lists what it takes"},
		{"book void A/1 --because x", "fallwright book void: one of --loaded and --not-loaded is needed\nhint: fallwright book void --help lists what it takes"},
		{"book void A/1 --because x --loaded --not-loaded", "fallwright book void: --loaded and --not-loaded exclude each other\nhint: give one of them\nhint: fallwright book void --help lists what it takes"},
		{"book drop d.csv", "fallwright book: it has no command \"drop\"\nhint: write fallwright book drops\nhint: fallwright book --help lists what it takes"},
		{"plan s.toml --freeze", "--freeze: it needs --book: a plan is frozen in a book\nhint: name the book: --book FILE --freeze\nhint: fallwright plan --help lists what it takes"},
	}
	for _, c := range cases {
		code, got := said(t, strings.Fields(c.line)...)
		want := "fallwright: error: " + strings.ReplaceAll(c.want, "\nhint:", "\nfallwright: hint:") + "\n"
		if code != badCommand || got != want {
			t.Errorf("%s: exit code %d\n got %s\nwant %s", c.line, code, got, want)
		}
	}
	if len(cases) < 15 {
		t.Errorf("looked at %d command lines", len(cases))
	}
}

// What the system refuses is said as any other refusal: where, what, a way out,
// and what state things are in; never as "open x: permission denied".
func TestSystemRefusals(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	if err := os.WriteFile(at("file"), []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	store, err := sqlite.Open(t.Context(), at("club.book"))
	if err != nil {
		t.Fatal(err)
	}
	store.Close()
	busy, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer busy.Close()
	if err := os.Mkdir(at("sealed"), 0o555); err != nil {
		t.Fatal(err)
	}

	cases := []struct {
		args        []string
		what, state string
	}{
		{[]string{"demo", "--out", at("file")}, "file: this is a file, and --out is a folder", "nothing was written or taken away"},
		{[]string{"demo", "--out", at("file/x")}, "file/x: no folder can be made there: a part of the path is a file", "nothing was written or taken away"},
		{[]string{"demo", "--out", dir}, dir + ": the folder is there, and no demo wrote it", "nothing was written or taken away"},
		{[]string{"serve", "--book", at("club.book"), "--addr", busy.Addr().String()}, "--addr: another program listens on " + busy.Addr().String(), "nothing is served"},
		{[]string{"serve", "--book", at("club.book"), "--addr", "nowhere"}, `--addr: "nowhere" is no address`, "nothing is served"},
		{[]string{"serve", "--book", at("club.book"), "--addr", "127.0.0.1:99999"}, `--addr: "127.0.0.1:99999" is no address`, "nothing is served"},
		{[]string{"serve", "--book", at("club.book"), "--addr", "192.0.2.1:0"}, "--addr: this machine has no address 192.0.2.1:0", "nothing is served"},
	}
	if os.Geteuid() != 0 { // nothing is forbidden to root
		cases = append(cases, struct {
			args        []string
			what, state string
		}{[]string{"demo", "--out", at("sealed/x")}, "sealed/x: this user may not make a folder there", "nothing was written or taken away"})
	}
	for _, c := range cases {
		code, got := said(t, c.args...)
		if code != couldNot || !strings.Contains(got, c.what) || !strings.Contains(got, "fallwright: hint: ") || !strings.HasSuffix(got, "fallwright: "+c.state+"\n") {
			t.Errorf("%q: exit code %d, want %q, a hint and %q:\n%s", c.args, code, c.what, c.state, got)
		}
		for _, raw := range []string{"open ", "mkdir ", "listen tcp", "bind:", "not a directory"} {
			if strings.Contains(got, raw) {
				t.Errorf("%q: the system's own words:\n%s", c.args, got)
			}
		}
	}
	if left, _ := os.ReadDir(dir); len(left) < 3 {
		t.Errorf("something was taken away: %v", left)
	}
}

// A number and its per cent stay on one line, with a space that every terminal
// has: the text is broken after 80 characters, here before "20.0 %".
func TestWrapKeepsNumbersWhole(t *testing.T) {
	text := strings.Repeat("a", 70) + " is 20.0\u202f% higher"
	got := wrap("  ", "  ", text)
	if want := "  " + strings.Repeat("a", 70) + " is\n  20.0 % higher"; got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
