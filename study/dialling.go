package study

import (
	"fmt"
	"strings"

	"fallwright.example/dial"
	"fallwright.example/fall"
	"fallwright.example/num/quantity"
)

// Dialling is what dialling in starts from as people write it: amounts with
// their units. Refusals name its parts as package dial does.
type Dialling struct {
	Low, High             string // the window
	Masses, FreeLengths   string // "80 kg, 70 kg", or "60 kg to 90 kg by 5 kg", the preferred one first
	Lowest, Highest, Step string // of the drop
	Room, Gravity         string // empty when not known, and for the standard value
	Force                 string // published, of the first fall; empty for nothing known
	ForceMass, ForceDrop  string // of that test
	ForceLength           string
	Falls, Enough, Level  string
	Trials                []DiallingTrial
}

// DiallingTrial is a trial drop as people write it. One that is empty all over is
// left out.
type DiallingTrial struct {
	Mass, Drop, FreeLength, Peak string
	Fall                         string // of its specimen; empty is 1, a fresh one
	Specimen                     string
}

// Dialled is an answer with what was asked.
type Dialled struct {
	Question dial.Question
	*dial.Answer
}

// DialCaution is what is to be kept to at every drop.
const DialCaution = "Before each drop: exclusion zone empty, release remote, mass blocked until then. " +
	"A peak in the window is a setting of this rig; it shows of no rope and no fall that it is safe."

// Dial asks for the next setting.
func Dial(q dial.Question) (*Dialled, error) {
	a, err := dial.Ask(q)
	if err != nil {
		return nil, err
	}
	return &Dialled{q, a}, nil
}

// Ask reads what is written and asks for the next setting. What cannot be read
// is refused all at once, before anything is computed.
func (w Dialling) Ask() (*Dialled, error) {
	q, err := w.question()
	if err != nil {
		return nil, err
	}
	return Dial(q)
}

func (w Dialling) question() (dial.Question, error) {
	var a amounts
	q := dial.Question{
		Window: dial.Window{
			Low:  a.need("window, low", w.Low, quantity.Force, "3 kN"),
			High: a.need("window, high", w.High, quantity.Force, "4 kN"),
		},
		Rig: dial.Rig{
			Masses: a.list("masses", w.Masses, quantity.Mass, "80 kg"), FreeLengths: a.list("free lengths", w.FreeLengths, quantity.Length, "2.6 m"),
			LowestDrop: a.need("lowest drop", w.Lowest, quantity.Length, "5 cm"), HighestDrop: a.need("highest drop", w.Highest, quantity.Length, "3 m"),
			DropStep: a.need("drop step", w.Step, quantity.Length, "1 cm"),
			Room:     a.read("room", w.Room, quantity.Length, 0), Gravity: a.read("gravity", w.Gravity, quantity.Acceleration, fall.StandardGravity),
		},
		Falls:  a.whole("falls", w.Falls, 0),
		Enough: a.need("enough", w.Enough, quantity.Share, "90 %"), Level: a.need("level", w.Level, quantity.Share, "90 %"),
	}
	if strings.TrimSpace(w.Force) != "" {
		q.Published = &dial.Published{
			Force: a.read("published, force", w.Force, quantity.Force, 0), Mass: a.need("published, mass", w.ForceMass, quantity.Mass, "80 kg"),
			Drop: a.need("published, drop", w.ForceDrop, quantity.Length, "4.8 m"), FreeLength: a.need("published, free length", w.ForceLength, quantity.Length, "2.8 m"),
		}
	}
	n := 0
	for _, t := range w.Trials {
		if t == (DiallingTrial{}) {
			continue
		}
		n++
		q.Trials = append(q.Trials, t.trial(&a, fmt.Sprintf("trial %d", n)))
	}
	return q, a.wrong.Err()
}

func (t DiallingTrial) trial(a *amounts, where string) dial.Trial {
	return dial.Trial{
		Setting: dial.Setting{
			Mass: a.need(where+", mass", t.Mass, quantity.Mass, "80 kg"), Drop: a.need(where+", drop", t.Drop, quantity.Length, "0.45 m"),
			FreeLength: a.need(where+", free length", t.FreeLength, quantity.Length, "2.6 m"),
		},
		Peak: a.need(where+", peak", t.Peak, quantity.Force, "3.42 kN"), Fall: a.whole(where+", fall", t.Fall, 1), Specimen: strings.TrimSpace(t.Specimen),
	}
}

// Sentence says what to do next.
func (d *Dialled) Sentence() string {
	at := d.Next
	setting := fmt.Sprintf("%s, a drop of %.2f m and a free length of %.2f m", quantity.Format(at.Mass, quantity.Mass), at.Drop, at.FreeLength)
	switch d.Stop {
	case dial.Doubt:
		return fmt.Sprintf("A trial drop contradicts what else is known: see to that first, then drop a fresh specimen with %s.", setting)
	case dial.Reached:
		return fmt.Sprintf("Stop dialling in: set %s, and begin the series.", setting)
	case dial.NoGain:
		return fmt.Sprintf("Another trial drop of a fresh specimen will not raise the chance: the best setting is %s.", setting)
	}
	return fmt.Sprintf("Set %s, and drop a fresh specimen.", setting)
}
