package delimited_test

import (
	"testing"

	"fallwright.example/trace"
)

// Fine points of what is understood, one a case.
func TestFinePoints(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		name, data    string
		ask           trace.Ask
		unit          string
		times, forces []float64
		doubts        []string
	}{
		{
			name: "a delimiter in a quoted cell that is not wanted", unit: "N",
			data:  "Time (s),Note,Force (N)\n0.0,\"a, b\",1\n0.1,c,2\n",
			times: []float64{0, 0.1}, forces: []float64{1, 2},
		},
		{
			name: "a quote written twice", unit: "N",
			data:  "Time (s),\"5\"\" gauge\",Force (N)\n0.0,\"a\"\",b\",1\n0.1,c,2\n",
			times: []float64{0, 0.1}, forces: []float64{1, 2},
		},
		{
			name: "one column with decimal commas under a title", ask: trace.Ask{Rate: 10}, unit: "N",
			data:  "Force (N)\n633,21\n628,46\n630,00\n631,50\n",
			times: []float64{0, 0.1, 0.2, 0.3}, forces: []float64{633.21, 628.46, 630, 631.5},
		},
		{
			name: "three decimals that are no thousands", unit: "N",
			data:  "t (s);F (N)\n0;0,001\n1;0,002\n",
			times: []float64{0, 1}, forces: []float64{0.001, 0.002},
		},
		{
			name: "a remark in brackets", unit: "N", doubts: []string{"read as N"},
			data:  "Time (s),Force (filtered)\n0,1\n1,2\n",
			times: []float64{0, 1}, forces: []float64{1, 2},
		},
		{
			name: "min is the least force, no minutes", unit: "N", doubts: []string{"read as N"},
			data:  "Time (s),Force (min)\n0,1\n1,2\n",
			times: []float64{0, 1}, forces: []float64{1, 2},
		},
		{
			name: "time of day nearer than seconds", unit: "N",
			data:  "Elapsed (s),Timestamp,Force (N)\n0,12:00:01,1\n1,12:00:02,2\n",
			times: []float64{0, 1}, forces: []float64{1, 2},
		},
		{
			name: "the nearer of two times on the left", unit: "N",
			data:  "Time A (s),x (mm),Time B (s),y (mm),Force (N),Time C (s)\n0,1,5,1,1,9\n1,1,6,1,2,8\n",
			times: []float64{5, 6}, forces: []float64{1, 2},
		},
		{
			name: "a whole title before a part of another", ask: trace.Ask{Force: "force (n)"}, unit: "N",
			data:  "Time (s),Force (N) peak,Force (N)\n0,8,1\n1,9,2\n",
			times: []float64{0, 1}, forces: []float64{1, 2},
		},
		{
			name: "the column beside the one said to be time", ask: trace.Ask{Time: "sta"}, unit: "N", doubts: []string{"beside the time", "seconds", "read as N"},
			data:  "stamp,value\n0.5,1\n1.5,2\n",
			times: []float64{0.5, 1.5}, forces: []float64{1, 2},
		},
		{
			name: "time on the right", unit: "N",
			data:  "Force (N),Time (s)\n1,0\n2,1\n",
			times: []float64{0, 1}, forces: []float64{1, 2},
		},
		{
			name: "commas and tabs", unit: "N",
			data:  "Time (s),\tForce (N)\n0.5,\t5.5\n1.5,\t6.5\n",
			times: []float64{0.5, 1.5}, forces: []float64{5.5, 6.5},
		},
		{
			name: "a remark under the header", unit: "kN",
			data:  "Time (s),Force (kN)\nchannel one,channel two\n0,1\n1,2\n",
			times: []float64{0, 1}, forces: []float64{1000, 2000},
		},
		{
			name: "a comment under the header", unit: "kN",
			data:  "Time (s),Force (kN)\n# begun at noon\n0,1\n1,2\n",
			times: []float64{0, 1}, forces: []float64{1000, 2000},
		},
		{
			name: "a table of settings above", unit: "kN",
			data:  "Mass (kg);Drop (m)\n80;2.3\n\nTime (s);Force (kN)\n0;1\n1;2\n",
			times: []float64{0, 1}, forces: []float64{1000, 2000},
		},
		{
			name: "a table of numbers above, as long as the trace", unit: "N",
			data:  "a;b;c\n1;2;3\n4;5;6\n\nTime (s);Force (N)\n0;1\n1;2\n",
			times: []float64{0, 1}, forces: []float64{1, 2},
		},
		{
			name: "a number on a line of its own above", ask: trace.Ask{Force: "2", Time: "1"}, unit: "N", doubts: []string{"seconds", "read as N"},
			data:  "600\n\n0.5;1\n1.5;2\n",
			times: []float64{0.5, 1.5}, forces: []float64{1, 2},
		},
		{
			name: "a title with its unit in a table of one column", ask: trace.Ask{Rate: 10}, unit: "kN",
			data:  "Force, kN\n1.5\n2.5\n",
			times: []float64{0, 0.1}, forces: []float64{1500, 2500},
		},
		{
			name: "the column beside the time", unit: "N", doubts: []string{"beside the time", "read as N"},
			data:  "Time (s),Channel 1\n0,1\n1,2\n",
			times: []float64{0, 1}, forces: []float64{1, 2},
		},
		{
			name: "titles in Latin-1", unit: "N",
			data:  "Zeit (s);Pr\xfcfkraft (N)\n0;1\n1;2\n",
			times: []float64{0, 1}, forces: []float64{1, 2},
		},
		{
			name: "values never filled in other columns", unit: "N",
			data:  "Time (s),Force (N),Remark,Video\n0,1\n1,2\n",
			times: []float64{0, 1}, forces: []float64{1, 2},
		},
		{
			name: "NaN and words where nobody looks", unit: "N",
			data:  "Time (s),Force (N),x (mm)\n0,1,NaN\n1,2,5\n2,3,lost\n3,4,5\n",
			times: []float64{0, 1, 2, 3}, forces: []float64{1, 2, 3, 4},
		},
	} {
		rec, err := readOne("a.csv", []byte(c.data), c.ask)
		checked++
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if rec.Unit != c.unit {
			t.Errorf("%s: unit %q, want %q", c.name, rec.Unit, c.unit)
		}
		equal(t, c.name+": time", rec.Time, c.times)
		equal(t, c.name+": force", rec.Force, c.forces)
		doubts(t, rec.Notes, c.doubts)
	}
	if checked == 0 {
		t.Fatal("nothing was checked")
	}
}

// The title that a file in Latin-1 has comes out as it was meant.
func TestLatin1Title(t *testing.T) {
	rec, err := readOne("a.csv", []byte("Zeit (s);Pr\xfcfkraft (N)\n0;1\n1;2\n"), trace.Ask{})
	if err != nil || rec.ForceColumn != "Pr\u00fcfkraft (N)" {
		t.Errorf("%+v, %v", rec, err)
	}
}
