package delimited

import (
	"bytes"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"fallwright.example/trace"
)

// Tables whose head looks plain at a glance and that turn out otherwise come out
// as from the whole head: what is there after the first kilobyte counts.
func TestNothingIsDecidedByAGlanceAlone(t *testing.T) {
	plain := func(from, rows int, format string) string {
		var b strings.Builder
		for i := from; i < from+rows; i++ {
			fmt.Fprintf(&b, format, i, i%97)
		}
		return b.String()
	}
	glanced := 0
	for name, text := range map[string]string{
		"as plain as it looks":       "t [ms];F [N]\n" + plain(0, 5000, "%d;%d.5\n"),
		"decimals only later":        "t [ms];F [N]\n" + plain(0, 200, "%d;%d\n") + plain(200, 200, "%d;%d,5\n"),
		"a column that ends":         "t [ms];F [N];x [mm]\n" + plain(0, 200, "%d;%d.5;1\n") + plain(200, 900, "%d;%d.5\n"),
		"a column that begins later": "t [ms];F [N]\n" + plain(0, 200, "%d;%d.5\n") + plain(200, 900, "%d;%d.5;1\n"),
		"another mark later":         "t [ms];F [N]\n" + plain(0, 200, "%d;%d.5\n") + plain(200, 200, "%d;%d,5\n"),
		"thousands later":            "t [ms];F [N]\n" + plain(0, 200, "%d;%d.5\n") + plain(200, 200, "%d;1,0%02d.5\n"),
		"a second table":             "t [ms];F [N]\n" + plain(0, 200, "%d;%d.5\n") + "x;y\n" + plain(0, 5000, "%d;%d.5\n"),
		"words later":                "t [ms];F [N]\n" + plain(0, 200, "%d;%d.5\n") + plain(200, 1, "%d;over%d\n"),
	} {
		got, err := Format{}.Read("a.csv", []byte(text), trace.Ask{})
		layout := trace.Layout{}
		data, encoding := decode([]byte(text))
		layout.Format, layout.Facts = got.Layout.Format, []trace.Fact{encoding}
		whole := source{name: "a.csv", data: data, layout: &layout}
		parts, _, wantErr := whole.read()
		if !sameRefusal(err, wantErr) || !reflect.DeepEqual(got.Parts, parts) {
			t.Errorf("%s: %d drops, %v; from the whole head %d, %v", name, len(got.Parts), err, len(parts), wantErr)
		}
		whole.glance, whole.layout = true, &trace.Layout{}
		if table, err := whole.find(); err == nil && table.glanced && bytes.Count(data, []byte("\n")) > 20 {
			glanced++
		}
	}
	if glanced < 7 {
		t.Fatalf("only %d tables looked plain at a glance", glanced)
	}
}
