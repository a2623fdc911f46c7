package planfile

import (
	"strings"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

const goodDrops = `kind,specimen,fall,setting,at,by,trace,void,loaded,note
trial,,,standard,2026-05-04 09:00:00,tower crew,trial-1.csv,,,
fall,M-01,1,standard,2026-05-04 14:26:30,tower crew,M-01/1.csv,,,"a gust, from the west"
fall,M-01,2,standard,2026-05-04T14:29:31+02:00,,,mass twisted,yes,
fall,M-01,3,standard,2026-05-04 14:32:30.2504,,M-01/3.csv,hook opened,no,
`

func TestDrops(t *testing.T) {
	zone := time.FixedZone("UTC+1", 3600)
	semicolons := strings.ReplaceAll(goodDrops, `"a gust, from the west"`, "a gust@ from the west")
	semicolons = strings.ReplaceAll(strings.ReplaceAll(semicolons, ",", ";"), "@", ",")
	for name, data := range map[string]string{
		"commas": goodDrops, "semicolons": semicolons, "mark of Windows": "\ufeff" + strings.ReplaceAll(goodDrops, "\n", "\r\n"),
		"blank lines": strings.ReplaceAll(goodDrops, "\nfall", "\n\nfall"),
	} {
		rows, err := parseDrops("drops.csv", []byte(data), zone)
		if err != nil || len(rows) != 4 {
			t.Errorf("%s: %d rows, %v", name, len(rows), err)
			continue
		}
		first := campaign.Drop{
			Kind: campaign.Trial, Setting: "standard",
			Stamp: campaign.Stamp{At: time.Date(2026, 5, 4, 9, 0, 0, 0, zone), By: "tower crew"},
		}
		if got := rows[0].Drop; !got.At.Equal(first.At) || got.By != first.By || got.Kind != first.Kind || got.Setting != first.Setting || got.Void != nil {
			t.Errorf("%s: trial is %+v", name, got)
		}
		if got := rows[1]; got.TracePath != "M-01/1.csv" || got.Drop.Fall != 1 || got.Drop.Specimen != "M-01" || got.Drop.Note != "a gust, from the west" {
			t.Errorf("%s: fall 1 is %+v", name, got)
		}
		if want := time.Date(2026, 5, 4, 12, 29, 31, 0, time.UTC); !rows[2].Drop.At.Equal(want) {
			t.Errorf("%s: a time with its own zone is %v, want %v", name, rows[2].Drop.At, want)
		}
		if want := time.Date(2026, 5, 4, 13, 32, 30, 250e6, time.UTC); !rows[3].Drop.At.Equal(want) {
			t.Errorf("%s: a time is %v, want it to the millisecond: %v", name, rows[3].Drop.At, want)
		}
		for i, loaded := range map[int]bool{2: true, 3: false} {
			v := rows[i].Drop.Void
			if v == nil || v.Loaded != loaded || v.Reason == "" || !v.At.Equal(rows[i].Drop.At) {
				t.Errorf("%s: row %d has void %+v", name, i, v)
			}
		}
		if want := 2; name != "blank lines" && rows[0].Line != want {
			t.Errorf("%s: first drop is on line %d, want %d", name, rows[0].Line, want)
		}
	}
}

// Parts of a file and a gate's times: 4.1 ms is the float64 nearest to 0.0041 s.
func TestPartsAndGateTimes(t *testing.T) {
	const table = `kind,specimen,fall,setting,at,trace,part,gate_time
fall,M-01,1,standard,2026-05-04 14:26:30,day.csv,1,4.1
fall,M-01,2,standard,2026-05-04 14:29:31,day.csv,run B,
`
	rows, err := parseDrops("drops.csv", []byte(table), time.UTC)
	if err != nil || len(rows) != 2 {
		t.Fatal(len(rows), err)
	}
	if d := rows[0].Drop; d.Part != "1" || d.GateTime != 0.0041 {
		t.Errorf("part %q, gate time %.17g s", d.Part, d.GateTime)
	}
	if d := rows[1].Drop; d.Part != "run B" || d.GateTime != 0 {
		t.Errorf("part %q, gate time %.17g s", d.Part, d.GateTime)
	}
}

// The table is for a study: what it holds, a frozen plan takes.
func TestDropsOfAStudy(t *testing.T) {
	plan, err := Parse("s.toml", []byte(skerryHead(t)))
	if err != nil {
		t.Fatal(err)
	}
	s := campaign.Study{Plan: plan, Frozen: &campaign.Freeze{}}
	rows, err := parseDrops("drops.csv", []byte(goodDrops), time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	rows[2].Drop.At = rows[2].Drop.At.Add(2 * time.Hour) // its zone was two hours east
	for _, row := range rows {
		if err := s.CheckDrop(row.Drop); err != nil {
			t.Errorf("line %d: %v", row.Line, err)
		}
		s.Drops = append(s.Drops, row.Drop)
	}
}

func TestDropRefusals(t *testing.T) {
	const header = "kind,specimen,fall,setting,at,by,trace,void,loaded,note\n"
	const full = "kind,specimen,fall,setting,at,by,trace,part,gate_time,void,loaded,note"
	cases := []struct{ data, want string }{
		{"", "d.csv: the table is empty\n-> begin it with a header: " + full},
		{header, "d.csv: the table has a header and no drop\n-> add a line for each drop"},
		{"kind,at,specmen\n", `
d.csv:1: there is no column "specmen" in a table of drops
1 | kind,at,specmen
  |         ^^^^^^^
-> write specimen`},
		{"kind,at,wind\n", `
d.csv:1: there is no column "wind" in a table of drops
1 | kind,at,wind
  |         ^^^^
-> write kind`},
		{"kind,at,weather\n", `
d.csv:1: there is no column "weather" in a table of drops
1 | kind,at,weather
  |         ^^^^^^^
-> the columns are: kind, at, specimen, fall, setting, by, trace, part, gate_time, void, loaded, note`},
		{"kind,at,kind\n", `
d.csv:1: the column kind is there twice
1 | kind,at,kind
  |         ^^^^
-> take one of the two out`},
		{"specimen,fall\nM-01,1\n", `
d.csv:1: the header has no column kind
1 | specimen,fall
  | ^^^^^^^^^^^^^
-> begin the table with: ` + full},
		{header + "fall,M-01,1,standard,2026-05-04 14:26:30\n", `
d.csv:2: this line has 5 fields, and the header has 10
2 | fall,M-01,1,standard,2026-05-04 14:26:30
  | ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^
-> put quotes round a field that has the delimiter in it, and leave no field out`},
		{"kind,at\ntest,2026-05-04 14:26:30\n", `
d.csv:2: there is no kind of drop "test"
2 | test,2026-05-04 14:26:30
  | ^^^^
-> the kinds are trial, check and fall`},
		{"kind,at,fall\nfall,2026-05-04 14:26:30,one\n", `
d.csv:2: "one" is no fall number
2 | fall,2026-05-04 14:26:30,one
  |                          ^^^
-> write a whole number from 1, or nothing for a trial or a check`},
		{"kind,at,fall\nfall,2026-05-04 14:26:30,-1\n", `
d.csv:2: "-1" is no fall number
2 | fall,2026-05-04 14:26:30,-1
  |                          ^^
-> write a whole number from 1, or nothing for a trial or a check`},
		{"kind,at\nfall,4.5.2026 14:26\n", `
d.csv:2: "4.5.2026 14:26" is no date and time
2 | fall,4.5.2026 14:26
  |      ^^^^^^^^^^^^^^
-> write year, month, day and time to the second: 2026-05-04 14:26:30, or with a zone 2026-05-04T14:26:30+01:00`},
		{"kind,at\nfall,2026-05-04 14:26\n", `
d.csv:2: "2026-05-04 14:26" is no date and time
2 | fall,2026-05-04 14:26
  |      ^^^^^^^^^^^^^^^^
-> write year, month, day and time to the second: 2026-05-04 14:26:30, or with a zone 2026-05-04T14:26:30+01:00`},
		{"kind,at\nfall,\n", `
d.csv:2: "" is no date and time
2 | fall,
  |      ^
-> write year, month, day and time to the second: 2026-05-04 14:26:30, or with a zone 2026-05-04T14:26:30+01:00`},
		{"kind,at,void\nfall,2026-05-04 14:26:30,\"hook, opened\"\n", `
d.csv:2: the drop is void, and it is not said whether the rope was loaded
2 | fall,2026-05-04 14:26:30,"hook, opened"
  |                          ^^^^^^^^^^^^^^
-> write yes or no in the column loaded: a rope that was loaded has had that fall`},
		{"kind,at,void,loaded\nfall,2026-05-04 14:26:30,hook opened,maybe\n", `
d.csv:2: loaded is "maybe"
2 | fall,2026-05-04 14:26:30,hook opened,maybe
  |                                      ^^^^^
-> write yes if the rope was loaded, no if it was not`},
		{"kind,at,void,loaded\nfall,2026-05-04 14:26:30,,no\n", `
d.csv:2: the rope was not loaded, and the drop is not void
2 | fall,2026-05-04 14:26:30,,no
  |                           ^^
-> say why it does not count, in the column void`},
		{"kind,at,void,loaded\nfall,2026-05-04 14:26:30,,yes\n", `
d.csv:2: loaded is filled, and the drop is not void
2 | fall,2026-05-04 14:26:30,,yes
  |                           ^^^
-> say why it does not count, in the column void, or leave loaded empty when it counts: a fall that counts has loaded its rope`},
		{"kind,at,part\nfall,2026-05-04 14:26:30,2\n", `
d.csv:2: part "2" is named, and no file that it is a part of
2 | fall,2026-05-04 14:26:30,2
  |                          ^
-> name the file in the column trace, or leave part empty`},
		{"kind,at,gate_time\nfall,2026-05-04 14:26:30,4 ms\n", `
d.csv:2: "4 ms" is no gate time
2 | fall,2026-05-04 14:26:30,4 ms
  |                          ^^^^
-> write a number of milliseconds without unit, such as 4.1, or nothing when there was no gate`},
		{"kind;at;gate_time\nfall;2026-05-04 14:26:30;4,1\n", `
d.csv:2: "4,1" is no gate time
2 | fall;2026-05-04 14:26:30;4,1
  |                          ^^^
-> write 4.1: numbers here have a decimal point`},
		{"kind,at,gate_time\nfall,2026-05-04 14:26:30,0\n", `
d.csv:2: "0" is no gate time
2 | fall,2026-05-04 14:26:30,0
  |                          ^
-> write a number of milliseconds without unit, such as 4.1, or nothing when there was no gate`},
		{"kind,at,note\nfall,2026-05-04 14:26:30,the \"big\" one\n", `
d.csv:2: a quote stands here that does not close, or not where a field begins
2 | fall,2026-05-04 14:26:30,the "big" one
  |                              ^
-> write a quote inside a quoted field twice: ""
the rest of the table was not looked at`},
		{"kind,at\nfall,2026-05-04 14:26:30\xff\n", `
d.csv:2: this is not text in UTF-8
2 | fall,2026-05-04 14:26:30` + "\ufffd" + `
  |                         ^
-> save the table as plain text in UTF-8, with commas or semicolons between the columns`},
		{"kind,at\ntest,now\nfall,then\n", `
d.csv:2: there is no kind of drop "test"
2 | test,now
  | ^^^^
-> the kinds are trial, check and fall

d.csv:2: "now" is no date and time
2 | test,now
  |      ^^^
-> write year, month, day and time to the second: 2026-05-04 14:26:30, or with a zone 2026-05-04T14:26:30+01:00

d.csv:3: "then" is no date and time
3 | fall,then
  |      ^^^^
-> write year, month, day and time to the second: 2026-05-04 14:26:30, or with a zone 2026-05-04T14:26:30+01:00`},
	}
	for _, c := range cases {
		_, err := parseDrops("d.csv", []byte(c.data), time.UTC)
		var got []string
		for _, p := range problem.All(err) {
			got = append(got, rendered(p))
		}
		if text := strings.Join(got, "\n\n"); text != strings.TrimSpace(c.want) {
			t.Errorf("%q\n got:\n%s\nwant:\n%s", c.data, text, strings.TrimSpace(c.want))
		}
	}
	if len(cases) < 18 {
		t.Errorf("looked at %d refusals", len(cases))
	}
}

func FuzzDrops(f *testing.F) {
	f.Add([]byte(goodDrops))
	f.Add([]byte("\ufeffkind;at\r\nfall;\"x"))
	f.Add([]byte("kind,at\n\"\n\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		rows, err := parseDrops("d.csv", data, time.UTC)
		if err == nil && len(rows) == 0 {
			t.Errorf("no drop and no refusal: %q", data)
		}
		for _, p := range problem.All(err) {
			if p.What == "" || len(p.Hints) == 0 || !strings.HasPrefix(p.Where, "d.csv") {
				t.Errorf("%v says not what to do", p)
			}
		}
		for _, r := range rows {
			if r.Drop.At.IsZero() && err == nil || r.Line < 2 {
				t.Errorf("row %+v", r)
			}
		}
	})
}
