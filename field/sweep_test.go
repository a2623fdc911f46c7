package field_test

import (
	"math"
	"testing"

	"fallwright.example/field"
	"fallwright.example/internal/near"
	"fallwright.example/rope"
)

// A sweep is the same however it is spread, and quick values are near careful
// ones.
func TestSweep(t *testing.T) {
	at := func(v float64) field.Doubt {
		d := doubtful()
		make := d.Make
		d.Make = func(p []float64) (field.Catch, error) {
			c, err := make(p)
			return c.WithRopeOut(v), err
		}
		return d
	}
	lengths := []float64{13, 24}
	one, two := field.Sweep(lengths, at, field.Options{Accuracy: field.Quick}), field.Sweep(lengths, at, field.Options{Accuracy: field.Quick})
	for i, s := range one {
		if s.Err != nil {
			t.Fatal(s.Err)
		}
		if s.Bands.WallNormal != two[i].Bands.WallNormal || s.Setting != lengths[i] {
			t.Errorf("%g m: %+v and %+v", s.Setting, s.Bands.WallNormal, two[i].Bands.WallNormal)
		}
		careful, err := at(s.Setting).Bands(field.Options{Accuracy: field.Careful})
		if err != nil {
			t.Fatal(err)
		}
		if !near.Rel(s.Bands.WallNormal.Value, careful.WallNormal.Value, 5e-3) || !near.Rel(s.Bands.Climber.Value, careful.Climber.Value, 2e-3) {
			t.Errorf("%g m: quick %+v, careful %+v", s.Setting, s.Bands.WallNormal, careful.WallNormal)
		}
	}
}

// Between the settings at which a sweep computes intervals they are near those
// computed, and the values are the same; where some of the falls computed meet the
// wall and others do not, intervals are computed throughout.
func TestSweepBetween(t *testing.T) {
	at := func(v float64) field.Doubt {
		d := doubtful()
		make := d.Make
		d.Make = func(p []float64) (field.Catch, error) {
			c, err := make(p)
			return c.WithRopeOut(v), err
		}
		return d
	}
	lengths := []float64{14, 14.5, 15, 15.5, 16, 16.5, 17, 17.5}
	o := field.Options{Accuracy: field.Shown}
	swept := field.Sweep(lengths, at, o)
	for i, s := range swept {
		want, err := at(lengths[i]).Bands(o)
		if err != nil || s.Err != nil {
			t.Fatal(err, s.Err)
		}
		if s.Setting != lengths[i] || !near.Rel(s.Bands.WallNormal.Value, want.WallNormal.Value, 1e-8) || s.Bands.Runs != 7 {
			t.Errorf("%g m: %+v of %d runs, want %+v", lengths[i], s.Bands.WallNormal, s.Bands.Runs, want.WallNormal)
		}
		for name, pair := range map[string][2]field.Interval{
			"climber": {s.Bands.Climber, want.Climber}, "wall": {s.Bands.WallNormal, want.WallNormal}, "below": {s.Bands.Below, want.Below},
		} {
			wide := pair[1].High - pair[1].Low
			if !(math.Abs(pair[0].Low-pair[1].Low) < 0.1*wide && math.Abs(pair[0].High-pair[1].High) < 0.1*wide) {
				t.Errorf("%g m: %s %+v, computed %+v", lengths[i], name, pair[0], pair[1])
			}
			if exact := i%2 == 0 || i == len(lengths)-1; exact != near.Rel(pair[0].High, pair[1].High, 1e-7) {
				t.Errorf("%g m: %s computed in full: %v", lengths[i], name, !exact)
			}
		}
	}
	// A fall that just meets the wall, or not, by what the rope is like.
	floor := func(v float64) field.Doubt {
		d := at(15)
		make := d.Make
		d.Make = func(p []float64) (field.Catch, error) {
			c, err := make(p)
			c.Floor = swept[2].Bands.Below.Value + c.Climber.Reach + v
			return c, err
		}
		return d
	}
	for _, s := range field.Sweep([]float64{-0.3, -0.1, -0.0005, 0.0005, 0.002, 0.004, 0.2, 0.3}, floor, o) {
		if s.Err != nil {
			t.Fatal(s.Err)
		}
		want, err := floor(s.Setting).Bands(o)
		if err != nil {
			t.Fatal(err)
		}
		if s.Bands.FloorHit != want.FloorHit || !near.Rel(s.Bands.Climber.High, want.Climber.High, 1e-7) {
			t.Errorf("floor %+g m: %d hits and %+v, computed %d and %+v", s.Setting, s.Bands.FloorHit, s.Bands.Climber, want.FloorHit, want.Climber)
		}
	}
}

// What Shown and Quick are good for, over four laws and three falls: values as
// shares, against a fall computed as finely as can be.
func TestAccuracies(t *testing.T) {
	sliding := lead().Rope.Law
	checked := 0
	for name, law := range map[string]rope.Law{
		"zener": zener, "sliding": sliding, "stiffening": rope.Stiffening{Equilibrium: 9000, Growth: 3, Branch: 9000, Relaxation: 0.2},
		"knotted": rope.Knotted{Law: sliding, Slip: 0.01, Force: 1500, Delay: 0.012},
	} {
		for _, above := range []float64{0.5, 2, 3} {
			c := lead()
			c.Rope.Law, c.Climber.Above = law, above
			c = c.WithSlack(0.5)
			fine, err := c.Simulate(field.Options{Accuracy: 1e-9})
			if err != nil {
				t.Fatal(err)
			}
			for accuracy, share := range map[float64]float64{field.Shown: 5e-4, field.Quick: 5e-3} {
				o, err := c.Simulate(field.Options{Accuracy: accuracy})
				if err != nil {
					t.Fatal(err)
				}
				for what, pair := range map[string][2]float64{
					"peak": {o.Climber.Force, fine.Climber.Force}, "lowest": {o.Lowest.Below, fine.Lowest.Below}, "wall": {o.Wall.Normal, fine.Wall.Normal},
					"top": {o.Top.Force, fine.Top.Force}, "rebound": {1 + (o.Rebound.Height-fine.Rebound.Height)/fine.Lowest.Fall, 1}, // as a share of the fall
				} {
					if !near.Rel(pair[0], pair[1], share) {
						t.Errorf("%s from %g m, %g: %s %.6g, want %.6g", name, above, accuracy, what, pair[0], pair[1])
					}
					checked++
				}
			}
		}
	}
	if checked != 120 {
		t.Fatalf("checked %d", checked)
	}
}

// The limits of an interval are where falls computed as finely as can be have them,
// to a share of its half width: 1 % with Shown, 5 % with Quick.
func TestIntervalsByAccuracy(t *testing.T) {
	sliding := field.Doubt{Names: []string{"equilibrium", "branch", "relaxation", "growth", "contact", "ease", "friction"}, Values: []float64{9000, 9000, 0.2, 3, 30000, 60, 0.2}}
	for i, v := range sliding.Values {
		row := make([]float64, len(sliding.Values))
		row[i] = v * v / 400
		sliding.Covariance = append(sliding.Covariance, row)
	}
	sliding.Make = func(v []float64) (field.Catch, error) {
		c, err := lead(), error(nil)
		c.Rope.Law, err = field.NamedLaw("sliding", v)
		return c, err
	}
	checked := 0
	for name, d := range map[string]field.Doubt{"zener": doubtful(), "sliding": sliding} {
		fine, err := d.Bands(field.Options{Accuracy: 1e-7})
		if err != nil {
			t.Fatal(err)
		}
		for accuracy, share := range map[float64]float64{field.Shown: 0.01, field.Quick: 0.05} {
			b, err := d.Bands(field.Options{Accuracy: accuracy})
			if err != nil {
				t.Fatal(err)
			}
			for what, pair := range map[string][2]field.Interval{
				"climber": {b.Climber, fine.Climber}, "top": {b.Top, fine.Top}, "below": {b.Below, fine.Below}, "wall": {b.WallNormal, fine.WallNormal},
			} {
				half := (pair[1].High - pair[1].Low) / 2
				if low, high := (pair[0].Low-pair[1].Low)/half, (pair[0].High-pair[1].High)/half; !(max(math.Abs(low), math.Abs(high)) < share) {
					t.Errorf("%s, %g: %s out by %.2g and %.2g of the half width", name, accuracy, what, low, high)
				}
				checked++
			}
		}
	}
	if checked != 16 {
		t.Fatalf("checked %d", checked)
	}
}
