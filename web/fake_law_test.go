package web

import (
	"context"

	"fallwright.example/fall"
	"fallwright.example/problem"
	"fallwright.example/rope"
	"fallwright.example/study"
	"fallwright.example/trace"
)

func (d *fakeDesk) Laws(_ context.Context, name, law string, told study.Progress) (*study.Laws, error) {
	if told != nil {
		told(9, 18)
	}
	return &study.Laws{Name: law}, d.known(name)
}

// SpecimenLaw fits three simulated falls of a rope that is a Zener solid: the fake's
// own traces are half sines, which no law comes near.
func (d *fakeDesk) SpecimenLaw(_ context.Context, name, _, law string) (*study.SpecimenLaw, error) {
	if err := d.known(name); err != nil {
		return nil, err
	}
	var falls []study.LawFall
	for n := 1; n <= 3; n++ {
		f, err := lawFall(n)
		if err != nil {
			return nil, err
		}
		falls = append(falls, f)
	}
	if law == "sliding" {
		return nil, problem.New(problem.Invalid, "law", "no sliding law comes near the trace").Hint("check mass, drop and length of the setting")
	}
	l, err := study.FitSeries(falls, law)
	return &study.SpecimenLaw{Law: l}, err
}

func lawFall(n int) (study.LawFall, error) {
	const rate = 1000.0
	law := rope.Zener{Equilibrium: 9000 + 1000*float64(n), Branch: 8000, Relaxation: 0.15}
	w := fall.Tower{Mass: 80, Drop: 1.42, Gravity: fall.StandardGravity, Rope: rope.Piece{Law: law, Length: 2.6}}
	run, err := w.Simulate(fall.Watch{FromContact: true, Until: 2, Rate: rate, Accuracy: 1e-8})
	if err != nil {
		return study.LawFall{}, err
	}
	rec := &trace.Recording{Unit: "N"}
	rec.Force, err = fall.Logger{PreTrigger: 0.2, Noise: 8, FullScale: 20000, Bits: 16}.Record(run.Force, rate, uint64(n))
	if err != nil {
		return study.LawFall{}, err
	}
	for i := range rec.Force {
		rec.Time = append(rec.Time, float64(i)/rate)
	}
	f, err := study.NewLawFall("a fall", n, rec, trace.Settings{Mass: 80, Drop: 1.42, Length: 2.6})
	f.Rest = 180
	return f, err
}
