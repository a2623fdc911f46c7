package book

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// What one of the two databases would not take, or would take otherwise
// (docs/decisions/0002-one-sql-text.md), and what would lose a record.
var forbidden = []struct {
	why string
	re  *regexp.Regexp
}{
	{"SQLite has no :: cast; write CAST(x AS text)", regexp.MustCompile(`::`)},
	{"parameters are $N", regexp.MustCompile(`\?|[:@][a-z]`)},
	{"LIKE minds case in PostgreSQL only", regexp.MustCompile(`(?i)\bI?LIKE\b`)},
	{"PostgreSQL has none of it", regexp.MustCompile(`(?i)\b(PRAGMA|rowid|AUTOINCREMENT|STRICT|sqlite_\w+|IFNULL|strftime|datetime|INSERT OR)\b`)},
	{"SQLite has none of it", regexp.MustCompile(`(?i)\b(SERIAL|JSONB|TIMESTAMPTZ|ILIKE|FOR UPDATE|now\(\)|ANY\()\b`)},
	{"types are TEXT, BIGINT, DOUBLE PRECISION, BYTEA and BOOLEAN", regexp.MustCompile(`(?i)\b(INTEGER|INT|REAL|BLOB|VARCHAR|NUMERIC|DATETIME|TIMESTAMP)\b`)},
	{"nothing is deleted or overwritten", regexp.MustCompile(`(?i)\b(DELETE|TRUNCATE|DROP|REPLACE INTO|DO UPDATE)\b`)},
	{"nothing but the counter is altered", regexp.MustCompile(`(?i)\bUPDATE (study SET [^e]|[^s])`)},
}

// quoted names and comments are no keywords: the table "drop".
var quoted = regexp.MustCompile(`"[a-z_]+"|--[^\n]*`)

func offences(sql string) (found []string) {
	sql = quoted.ReplaceAllString(sql, "x")
	for _, f := range forbidden {
		if f.re.MatchString(sql) {
			found = append(found, f.why)
		}
	}
	return found
}

func TestOneSQLText(t *testing.T) {
	for _, planted := range []string{
		`SELECT x::text`, `SELECT ?`, `SELECT a FROM b WHERE a LIKE 'x'`, `PRAGMA foreign_keys`, `SELECT 1 FOR UPDATE`,
		`CREATE TABLE x (y INTEGER)`, `DELETE FROM "drop"`, `UPDATE reading SET program = $1`, `UPDATE study SET name = $1`,
	} {
		if len(offences(planted)) == 0 {
			t.Fatalf("planted fault: the rules are blind to %s", planted)
		}
	}
	texts := statements(t)
	for where, sql := range texts {
		for _, why := range offences(sql) {
			t.Errorf("%s: %s:\n%s", where, why, sql)
		}
	}
	if len(texts) < 20 {
		t.Fatalf("%d statements looked at: the search missed some", len(texts))
	}
}

// statements returns the SQL in this package and its migrations, by place.
func statements(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	sources, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	verb := regexp.MustCompile(`\b(SELECT|INSERT|UPDATE|DELETE|WHERE|JOIN)\b`)
	set := token.NewFileSet()
	for _, name := range sources {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if ok && lit.Kind == token.STRING && verb.MatchString(lit.Value) {
				text, _ := strconv.Unquote(lit.Value)
				out[set.Position(lit.Pos()).String()] = text
			}
			return true
		})
	}
	files, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil || len(files) == 0 {
		t.Fatalf("no migrations: %v", err)
	}
	for _, name := range files {
		text, err := migrations.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = string(text)
	}
	return out
}
