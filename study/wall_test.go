package study_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fallwright.example/field"
	"fallwright.example/internal/near"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// The closed form of a spring rope with nothing beside it: 80 kg at factor 1 on a
// modulus of 24,080.866 N pull 6,981.3 N (facts of the trade's harmonic rope; the
// same check as of the command, to the digits that it prints).
func TestWallClosedForm(t *testing.T) {
	w := study.WallFall{Mass: "80 kg", Above: "5 m", Fixed: true, NoWall: true, Slack: "0 m", Runners: []study.WallRunner{{Below: "5 m", Turn: "180 deg", Friction: "0"}}}
	rope, err := study.TypedRope("linear", "modulus = 24080.866")
	if err != nil {
		t.Fatal(err)
	}
	a, err := study.Wall(w, []study.WallRope{rope})
	if err != nil {
		t.Fatal(err)
	}
	if got := a.Cases[0].Bands.Outcome.Climber.Force; !near.Abs(got, 6981.3, 5) { // the rope has a mass, which the closed form has not
		t.Errorf("%g N, want 6981.3", got)
	}
	if a.Cases[0].Bands.Runs != 1 || len(a.Cases[0].Sweep) != 0 || len(a.Against) != 0 {
		t.Errorf("%d runs, %d lengths, %q", a.Cases[0].Bands.Runs, len(a.Cases[0].Sweep), a.Against)
	}
}

// What the page computes is what a careful computation gives, to the digits that
// are shown, intervals included.
func TestWallAsCareful(t *testing.T) {
	ropes := study.InventedRopes()
	a, err := study.Wall(study.UsualFall(), ropes)
	if err != nil {
		t.Fatal(err)
	}
	c, err := study.UsualFall().Catch()
	if err != nil {
		t.Fatal(err)
	}
	looked := 0
	for i, r := range ropes {
		d := r.Doubt(c)
		want, err := d.Bands(field.Options{Accuracy: field.Careful})
		if err != nil {
			t.Fatal(err)
		}
		rows := a.Cases[i].Bands.Rows(a.Cases[i].Catch)
		for k, w := range want.Rows(a.Cases[i].Catch) {
			half := 0.6 * math.Pow10(-w.Decimals) / w.Scale // of the last digit shown
			if g := rows[k]; !near.Abs(g.Value, w.Value, half) || !near.Abs(g.Low, w.Low, half) || !near.Abs(g.High, w.High, half) {
				t.Errorf("%s, %s: %+v, want %+v", r.Name, w.Key, g.Interval, w.Interval)
			}
			looked++
		}
		if n := len(a.Cases[i].Sweep); n < 10 {
			t.Errorf("%d lengths", n)
		}
		for _, p := range a.Cases[i].Sweep {
			if p.Err != nil {
				t.Errorf("at %g m: %v", p.Setting, p.Err)
			}
		}
	}
	for _, k := range a.Cases {
		at := k.Sweep[3] // as much rope out as the fall itself has
		if met := k.Bands.WallNormal.Value; at.Setting != k.Catch.RopeOut || !near.Rel(at.Bands.WallNormal.Value, met, 1e-3) || !(k.Sweep[0].Bands.WallNormal.Value > 1.02*met) {
			t.Errorf("%s: at %g m of rope out %g m/s, the fall has %g m/s at %g m", k.Rope.Name, at.Setting, at.Bands.WallNormal.Value, met, k.Catch.RopeOut)
		}
	}
	if looked < 20 {
		t.Errorf("looked at %d values", looked)
	}
	if len(a.Against) == 0 || !strings.Contains(a.Against[0], "soaked") {
		t.Errorf("%q", a.Against)
	}
}

func TestWallRefuses(t *testing.T) {
	looked := 0
	for _, c := range []struct {
		where, what string
		spoil       func(*study.WallFall)
	}{
		{"climber's mass", "it is missing", func(w *study.WallFall) { w.Mass = "" }},
		{"climber's mass", "has no unit", func(w *study.WallFall) { w.Mass = "75" }},
		{"climber's mass", "must be a number above", func(w *study.WallFall) { w.Mass = "-5 kg" }},
		{"climber's height above the top runner", "is a mass", func(w *study.WallFall) { w.Above = "2 kg" }},
		{"belayer's mass", "it is missing", func(w *study.WallFall) { w.Belayer = "" }},
		{"belayer's distance from the wall", "would not reach", func(w *study.WallFall) { w.StandsOff = "9 m" }},
		{"runner 2 from the top", "must be above", func(w *study.WallFall) { w.Runners[1].Below = "-2 m" }},
		{"runner 1 from the top, friction", `"slick" is not a number`, func(w *study.WallFall) { w.Runners[0].Friction = "slick" }},
		{"runner 1 from the top, turn", "must lie from", func(w *study.WallFall) { w.Runners[0].Turn = "400 deg" }},
		{"runners", "there are none", func(w *study.WallFall) { w.Runners = nil }},
		{"overhang", "must lie from", func(w *study.WallFall) { w.Overhang = "80 deg" }},
		{"ground or ledge", "reaches", func(w *study.WallFall) { w.Ground = "0.1 m"; w.Above = "0.2 m" }},
		{"rope out", "both rope out and slack", func(w *study.WallFall) { w.RopeOut = "14 m" }},
		{"rope out", "the way from the climber", func(w *study.WallFall) { w.RopeOut, w.Slack = "3 m", "" }},
		{"slack", "neither", func(w *study.WallFall) { w.Slack = "" }},
	} {
		w := study.UsualFall()
		c.spoil(&w)
		_, err := study.Wall(w, study.InventedRopes()[:1])
		if !slices.ContainsFunc(problem.All(err), func(p *problem.Problem) bool { return p.Where == c.where && strings.Contains(p.What, c.what) }) {
			t.Errorf("%s: refused by %v, want %q", c.where, err, c.what)
		}
		looked++
	}
	if looked < 12 {
		t.Errorf("looked at %d", looked)
	}
}

func TestTypedRope(t *testing.T) {
	w, err := study.TypedRope("zener", "equilibrium = 9000 ± 300; branch=16000 +- 500,\n relaxation = 0.2,")
	if err != nil || !slices.Equal(w.Known.Values, []float64{9000, 16000, 0.2}) || w.Known.Covariance[0][0] != 90000 || w.Known.Covariance[1][1] != 250000 || w.Known.Covariance[2][2] != 0 {
		t.Errorf("%+v, %v", w, err)
	}
	for text, what := range map[string]string{
		"equilibrium = 9000, branch = 16000":                   "the law zener needs relaxation",
		"equilibrium 9000":                                     "is not a name and a number",
		"modulus = 3":                                          "the law zener has no modulus",
		"equilibrium = x, branch = 1, relaxation = 2":          `"x" is not a number`,
		"equilibrium = -1, branch = 16000, relaxation = 0.2":   "-1",
		"equilibrium = 1 ± many, branch = 16000, relaxation=1": `"many" is not a number`,
	} {
		_, err := study.TypedRope("zener", text)
		all := problem.All(err)
		if len(all) == 0 || all[0].Where != "parameters of the law" || !strings.Contains(all[0].What, what) {
			t.Errorf("%q: %v, want %q", text, err, what)
		}
	}
	if _, err := study.TypedRope("nylon", ""); problem.KindOf(err) != problem.Invalid {
		t.Errorf("nylon: %v", err)
	}
}

func TestWallRopes(t *testing.T) {
	d := begun(t)
	if ropes, pending, err := d.WallRopes(t.Context(), "wet"); err != nil || pending || len(ropes) != 0 {
		t.Errorf("%d, %v, %v", len(ropes), pending, err)
	}
	if _, _, err := d.WallRopes(t.Context(), "none"); problem.KindOf(err) != problem.NotFound {
		t.Errorf("a study that is not there: %v", err)
	}
}

// Both states, thirteen lengths each: a page's work. Limit of a page: 200 ms.
func BenchmarkWall(b *testing.B) {
	for b.Loop() {
		if _, err := study.Wall(study.UsualFall(), study.InventedRopes()); err != nil {
			b.Fatal(err)
		}
	}
}
