package trace

import (
	"encoding/json"
	"testing"
)

// Two routes to one reading: with the motion kept for a Signal, and without. The
// texts of both are equal, so that every value is to its last bit.
func TestReadIsTakeWithoutASignal(t *testing.T) {
	checked, hanging := 0, 0
	for seed := range uint64(12) {
		seconds := []float64{1.2, 3, 9.5}[seed%3]
		clean := fallTrace(kelvinVoigt(20e3, []float64{0.1, 0.3}[seed%2]), 5e3, 0.5, seconds)
		rec := spoil(clean, 8, -35, 1, seed)
		for _, set := range []Settings{{}, {Mass: refMass, Drop: refDrop}, {Class: 60, Mass: refMass}, {Class: 180, Mass: refMass, Drop: refDrop, Length: 2.5}} {
			taken, signal, err := Take(rec, set)
			if err != nil {
				t.Fatal(err)
			}
			read, err := Read(rec, set)
			if err != nil {
				t.Fatal(err)
			}
			want, err := json.Marshal(taken)
			if err != nil {
				t.Fatal(err)
			}
			got, err := json.Marshal(read)
			if err != nil {
				t.Fatal(err)
			}
			if string(got) != string(want) {
				t.Errorf("seed %d, %+v: Read has\n%s\nTake has\n%s", seed, set, got, want)
			}
			checked++
			if read.ClosingSpeed.Known() { // the mean speed over the last fifth, with the rope taut
				hanging++
				from := max(taken.Contacts[len(taken.Contacts)-1].From, len(rec.Force)-len(rec.Force)/5)
				if want := mean(signal.Speed[from-signal.First:]); float64(read.ClosingSpeed) != want {
					t.Errorf("seed %d: closing speed %v, the signal's is %v", seed, read.ClosingSpeed, want)
				}
			}
		}
	}
	if checked < 48 || hanging < 4 {
		t.Fatalf("%d readings compared, %d of a mass that came to hang: too few", checked, hanging)
	}
}
