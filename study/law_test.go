package study_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/fall/fit"
	"fallwright.example/field"
	"fallwright.example/internal/near"
	"fallwright.example/problem"
	"fallwright.example/rope"
	"fallwright.example/study"
	"fallwright.example/trace"
)

// The interval of a value that hangs on a pooled law by a straight line holds the
// truth 95 times of 100, whatever the specimens' scatter: Student's t, so the closed
// form is the check. 4000 studies have a standard error of 0.34 %; three of those.
func TestPoolLawsCovers(t *testing.T) {
	const studies = 4000
	draw := rand.New(rand.NewPCG(4, 5))
	truth := []float64{math.Log(6000), math.Log(9000), math.Log(0.12)}
	for _, sizes := range [][]int{{3, 3}, {2, 2, 2}, {5}} {
		in := 0
		for range studies {
			var groups [][]fit.Known
			for c, n := range sizes {
				var group []fit.Known
				for range n {
					a, b := 0.03*draw.NormFloat64(), 0.01*draw.NormFloat64()
					logs := []float64{truth[0] + a + 0.2*float64(c), truth[1] - 0.5*a + b, truth[2] + 0.02*draw.NormFloat64()}
					k := fit.Known{Law: "zener", Covariance: [][]float64{{0, 0, 0}, {0, 0, 0}, {0, 0, 0}}}
					for _, l := range logs {
						k.Values = append(k.Values, math.Exp(l))
					}
					group = append(group, k)
				}
				groups = append(groups, group)
			}
			pooled, freedom, err := study.PoolLaws(groups)
			if err != nil || freedom == 0 {
				t.Fatal(freedom, err)
			}
			slope := []float64{1, 0.7, -0.4} // of a value by the logarithms
			value, variance := 0.0, 0.0
			for i, s := range slope {
				value += s * (math.Log(pooled[0].Values[i]) - truth[i])
				for j, r := range slope {
					variance += s * r * pooled[0].Covariance[i][j] / pooled[0].Values[i] / pooled[0].Values[j]
				}
			}
			if math.Abs(value) <= 1.959964*math.Sqrt(variance) {
				in++
			}
		}
		if share := float64(in) / studies; !near.Abs(share, 0.95, 0.0103) {
			t.Errorf("%v specimens: %.1f %% of intervals hold the truth, want 95", sizes, 100*share)
		}
	}
}

// Without two specimens in any condition there is the doubt of the fit alone.
func TestPoolLawsOfOne(t *testing.T) {
	k := fit.Known{Law: "linear", Values: []float64{20000}, Covariance: [][]float64{{250000}}, Fitted: fit.Range{Force: 4000}}
	pooled, freedom, err := study.PoolLaws([][]fit.Known{{k}})
	if err != nil || freedom != 0 || len(pooled) != 1 {
		t.Fatal(pooled, freedom, err)
	}
	if got := pooled[0]; !near.Abs(got.Values[0], 20000, 1e-6) || !near.Abs(got.Covariance[0][0], 250000, 1e-3) || got.Fitted != k.Fitted {
		t.Errorf("%+v", got)
	}
	far := k
	far.Values, far.Fitted.Force = []float64{22000}, 3000
	pooled, freedom, err = study.PoolLaws([][]fit.Known{{k, far}})
	if err != nil || freedom != 1 {
		t.Fatal(freedom, err)
	}
	// by hand: S = (ln 1.1)²/2, cov of the mean S/2·(12.7062/1.959964)²; t from [JCGM100] table G.2 (12.71)
	mean := math.Sqrt(20000 * 22000)
	sd := mean * math.Log(1.1) / 2 * 12.7062 / 1.959964
	if got := pooled[0]; !near.Abs(got.Values[0], mean, 1e-6) || !near.Abs(math.Sqrt(got.Covariance[0][0]), sd, 1e-4*sd) || got.Fitted.Force != 3000 {
		t.Errorf("%+v, want %g ± %g", got, mean, sd)
	}
}

// lawTrace is a fall of the test plan's setting on a rope of a law, as a file.
func lawTrace(t *testing.T, law rope.Law, seed uint64) []byte {
	t.Helper()
	rec := lawRecording(t, law, fall.Edge{}, seed)
	var b strings.Builder
	b.WriteString("time [s],force [N]\n")
	for i, v := range rec.Force {
		fmt.Fprintf(&b, "%.4f,%.2f\n", rec.Time[i], v)
	}
	return []byte(b.String())
}

const lawRate = 1000 // Hz

func lawRecording(t *testing.T, law rope.Law, edge fall.Edge, seed uint64) *trace.Recording {
	t.Helper()
	w := fall.Tower{Mass: 80, Drop: 1.5, Friction: 8, Gravity: fall.StandardGravity, Edge: edge, Rope: rope.Piece{Law: law, Length: 2.6}}
	run, err := w.Simulate(fall.Watch{FromContact: true, Until: 2.5, Rate: lawRate, Accuracy: 1e-8})
	if err != nil {
		t.Fatal(err)
	}
	force, err := fall.Logger{PreTrigger: 0.3, Offset: 12, Noise: 8, FullScale: 20000, Bits: 16}.Record(run.Force, lawRate, seed)
	if err != nil {
		t.Fatal(err)
	}
	rec := &trace.Recording{Force: force, Unit: "N"}
	for i := range force {
		rec.Time = append(rec.Time, float64(i)/lawRate)
	}
	return rec
}

// lawRope is a rope that stiffens from fall to fall, as specimens differ.
func lawRope(fallNumber int, by float64) rope.Stiffening {
	worn := 1 - math.Exp(-float64(fallNumber-1)/1.5)
	return rope.Stiffening{Equilibrium: 5500 * by * math.Pow(1.4, worn), Growth: 4, Branch: 7000 * by * math.Pow(0.8, worn), Relaxation: 0.12}
}

// lawDesk has a plan of three falls.
func lawDesk(t *testing.T) *study.Desk {
	t.Helper()
	d, p := desk(t), plan()
	p.Series.Falls = 3
	if _, err := d.PutPlan(t.Context(), p, "wet.toml", []byte("the file"), "tester"); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Freeze(t.Context(), "wet", "tester"); err != nil {
		t.Fatal(err)
	}
	return d
}

// A study whose ropes are known: the states of its conditions hold the truth, a void
// fall is left out with those behind it, and the states go on to the wall.
func TestLawsOfAStudy(t *testing.T) {
	d := lawDesk(t)
	const falls = 3
	minutes := 0.0
	for n := 1; n <= falls; n++ {
		for i, s := range []string{"A", "B", "C"} {
			minutes += 5
			add(t, d, release(s, n, minutes, lawTrace(t, lawRope(n, 1+0.2*float64(i/2)), uint64(10*n+i))))
		}
	}
	if ropes, pending, err := d.WallRopes(t.Context(), "wet"); err != nil || !pending || len(ropes) != 0 {
		t.Fatalf("before: %d, %v, %v", len(ropes), pending, err)
	}
	told := 0
	all, err := d.Laws(t.Context(), "wet", study.UsualLaw, func(done, of int) { told = max(told, done); _ = of })
	if err != nil || told != 3 {
		t.Fatalf("%d told, %v", told, err)
	}
	looked := 0
	for _, s := range all.States {
		truth := lawRope(s.Fall, 1+0.2*float64(s.Place))
		for i, want := range []float64{truth.Equilibrium, truth.Branch, truth.Relaxation, truth.Growth} {
			looked++
			if se := math.Sqrt(s.Known.Covariance[i][i]); !near.Abs(s.Known.Values[i], want, max(4*se, 0.002*want)) || se > 0.2*want {
				t.Errorf("%s, %s: %g ± %g, want %g", s.Name(), s.Known.Names[i], s.Known.Values[i], se, want)
			}
		}
	}
	if looked != 2*falls*4 {
		t.Fatalf("%d parameters looked at: %v", looked, all.Sentences())
	}
	ropes, pending, err := d.WallRopes(t.Context(), "wet")
	if err != nil || pending || len(ropes) != 2*falls {
		t.Fatalf("after: %d, %v, %v", len(ropes), pending, err)
	}
	if ropes[0].Condition != 0 || ropes[1].Condition != 1 || !strings.HasSuffix(ropes[0].Name, ", third fall") || !strings.HasSuffix(ropes[2].Name, ", first fall") {
		t.Errorf("first come %q, %q, %q", ropes[0].Name, ropes[1].Name, ropes[2].Name)
	}
	a, err := study.Wall(study.UsualFall(), ropes[:2])
	if err != nil {
		t.Fatal(err)
	}
	if b := a.Cases[0].Bands.Climber; !(b.Low < b.Value && b.Value < b.High) {
		t.Errorf("no interval: %+v", b)
	}
}

func TestSpecimenLaw(t *testing.T) {
	d := lawDesk(t)
	var drops []string
	for n := 1; n <= 3; n++ {
		drops = append(drops, add(t, d, release("A", n, 5*float64(n), lawTrace(t, lawRope(n, 1), uint64(n)))).ID)
	}
	if err := d.VoidDrop(t.Context(), "wet", drops[1], "the guide stuck", true, "tester"); err != nil {
		t.Fatal(err)
	}
	one, err := d.SpecimenLaw(t.Context(), "wet", "A", "stiffening")
	if err != nil {
		t.Fatal(err)
	}
	if l := one.Law; l.Course != nil || len(l.Fits) != 1 || len(l.Left) != 2 || !strings.Contains(strings.Join(l.Sentences(), " "), "Fall 3 is left out: it follows fall 2") {
		t.Errorf("%d fits, left %q", len(l.Fits), l.Left)
	}
	for _, bad := range []struct {
		specimen, law string
		kind          problem.Kind
	}{{"none", "zener", problem.NotFound}, {"A", "rubber", problem.NotFound}, {"B", "zener", problem.TooFew}} {
		if _, err := d.SpecimenLaw(t.Context(), "wet", bad.specimen, bad.law); problem.KindOf(err) != bad.kind {
			t.Errorf("%s by %s: %v", bad.specimen, bad.law, err)
		}
	}
	if _, err := d.Laws(t.Context(), "wet", study.AllLaws, nil); problem.KindOf(err) != problem.Invalid {
		t.Errorf("all laws of a study: %v", err)
	}
}

// What a law is chosen by: on a rope that is a Zener solid in truth, a stiffening law
// is as good, and the simpler is taken; a linear one does not hold and it is said
// where.
func TestFitFall(t *testing.T) {
	set := trace.Settings{Mass: 80, Drop: 1.5, Length: 2.6}
	f, err := study.NewLawFall("a trace", 1, lawRecording(t, rope.Zener{Equilibrium: 9000, Branch: 8000, Relaxation: 0.15}, fall.Edge{}, 3), set)
	if err != nil {
		t.Fatal(err)
	}
	l, err := study.FitFall(f, study.AllLaws)
	if err != nil {
		t.Fatal(err)
	}
	if said := strings.Join(l.Sentences(), " "); l.Form.Name != "Zener" || !strings.Contains(said, "holds") || !strings.Contains(said, "Zener is taken") {
		t.Errorf("%s: %s", l.Form.Name, said)
	}
	if r := l.Rows()[0]; !near.Abs(r.Peak, r.MeasuredPeak, 60) || math.IsNaN(r.Measured) {
		t.Errorf("%+v", r)
	}
	if l, err = study.FitFall(f, "linear"); err != nil {
		t.Fatal(err)
	}
	if said := strings.Join(l.Sentences(), " "); !strings.Contains(said, "does not hold") || !strings.Contains(said, "It fails most") ||
		!strings.Contains(said, "look whether mass, drop and length") || !l.Fails() {
		t.Error(said)
	}
}

// A reading takes the guide's friction for the rope's: without noise it absorbs as
// much as the simulated rope where the guide is free, and 2 % more on 4 N of
// friction. Started too fast by δ it is out by δ·J, J the impulse of some 1020 N s,
// which a stated share of the guide takes away.
func TestMeasuredEnergyHasTheGuides(t *testing.T) {
	law := rope.Stiffening{Equilibrium: 4790, Growth: 1.977, Branch: 8854, Relaxation: 0.1197}
	over := func(friction, share float64) float64 {
		tower := fall.Tower{Mass: 80, Drop: 1.42, Friction: friction, Gravity: fall.StandardGravity, Rope: rope.Piece{Law: law, Length: 2.6}}
		const rate = 10000.0
		run, err := tower.Simulate(fall.Watch{First: 0.2, Until: 4.3, Rate: rate})
		if err != nil {
			t.Fatal(err)
		}
		rec := &trace.Recording{Unit: "N", Force: run.Force}
		for i := range run.Force {
			rec.Time = append(rec.Time, float64(i)/rate)
		}
		r, _, err := trace.Take(rec, trace.Settings{Mass: 80, Drop: 1.42, Length: 2.6, Guide: share})
		if err != nil {
			t.Fatal(err)
		}
		return float64(r.EnergyAbsorbed) - run.EnergyAbsorbed
	}
	const friction = 4.2
	free, rubbed, stated := over(0, 0), over(friction, 0), over(friction, friction/(80*fall.StandardGravity))
	if !near.Abs(free, 0, 0.5) || !near.Abs(rubbed, 24, 2) {
		t.Errorf("read more than the rope took: %.2f J on a free guide, %.2f J on %g N", free, rubbed, friction)
	}
	start := math.Sqrt(2*fall.StandardGravity*1.42) * (1 - math.Sqrt(1-friction/(80*fall.StandardGravity)))
	if !near.Abs(rubbed-stated, start*1022, 1) {
		t.Errorf("a stated share takes away %.2f J, want %.2f J", rubbed-stated, start*1022)
	}
}

// Limits are written to as many digits as tell them from the value.
func TestLawIntervalIsNoPoint(t *testing.T) {
	for _, c := range []struct {
		value, low, high float64
		want             string
	}{
		{0.2496, 0.24951, 0.24969, "0.2495 to 0.2497"},
		{0.1197, 0.1193, 0.1201, "0.1193 to 0.1201"},
		{4790, 4772, 4808, "4770 to 4810"},
		{0, 0, 12.06, "0 to 12.1"},
		{5, 5, 5, "5 to 5"},
		{-0.71, -1.07, -0.359, "−1.07 to −0.359"},
	} {
		if got := study.LawInterval(fit.Parameter{Value: c.value, Lower: c.low, Upper: c.high}); got != c.want {
			t.Errorf("%g: %s, want %s", c.value, got, c.want)
		}
	}
	for _, c := range []struct {
		v, u float64
		want string
	}{{0.119961, 0.0000712, "0.119961 ± 0.000071"}, {10518, 238, "10520 ± 240"}, {2.0056, 0.0031, "2.0056 ± 0.0031"}, {9000, 300, "9000 ± 300"}, {0.2, 0.01, "0.2 ± 0.01"}} {
		if got := study.PlusMinus(c.v, c.u); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
	rubbing := fit.Parameter{Name: "guide friction", Value: 392, Lower: 108, Upper: 677, AtBound: true}
	if note := study.LawNote(rubbing); !strings.Contains(note, "further") {
		t.Errorf("friction at its upper end: %q", note)
	}
	if note := study.LawNote(fit.Parameter{Name: "guide friction", Upper: 12, AtBound: true}); note != "none is seen" {
		t.Errorf("no friction: %q", note)
	}
}

// An edge between rope and cell is in the law once: the rope's own modulus comes
// back from what the cell behind the edge saw.
func TestLawFallBehindAnEdge(t *testing.T) {
	law := rope.Zener{Equilibrium: 9000, Branch: 8000, Relaxation: 0.15}
	rec := lawRecording(t, law, fall.Edge{Friction: 0.2, Angle: math.Pi / 2}, 3)
	set := trace.Settings{Mass: 80, Drop: 1.5, Length: 2.6, Edge: trace.Edge{Friction: 0.2, Angle: math.Pi / 2}}
	f, err := study.NewLawFall("a trace", 1, rec, set)
	if err != nil {
		t.Fatal(err)
	}
	l, err := study.FitFall(f, "zener")
	if err != nil {
		t.Fatal(err)
	}
	if p := l.Fits[0].Parameters[0]; !near.Abs(p.Value, law.Equilibrium, 4*p.SE) || !(p.SE < 0.01*law.Equilibrium) {
		t.Errorf("%g ± %g, want %g", p.Value, p.SE, law.Equilibrium)
	}
}

func TestLawFallRefusals(t *testing.T) {
	rec, set := lawRecording(t, rope.Linear{Modulus: 20000}, fall.Edge{}, 1), trace.Settings{Mass: 80, Drop: 1.5, Length: 2.6}
	quiet := &trace.Recording{Time: rec.Time[:250], Force: rec.Force[:250], Unit: "N"}
	uneven := &trace.Recording{Force: rec.Force, Unit: "N"}
	for i := range rec.Time {
		uneven.Time = append(uneven.Time, rec.Time[i]+0.0003*float64(i%2))
	}
	for _, bad := range []struct {
		rec  *trace.Recording
		set  trace.Settings
		what string
	}{
		{rec, trace.Settings{Drop: 1.5, Length: 2.6}, "it is not known, and a law is fitted to a fall of known mass"},
		{rec, trace.Settings{}, "it is not known"},
		{quiet, set, "there is no drop in the trace"},
		{uneven, set, "not evenly apart"},
	} {
		_, err := study.NewLawFall("a trace", 1, bad.rec, bad.set)
		if all := problem.All(err); len(all) == 0 || !strings.Contains(all[0].What, bad.what) || !strings.HasPrefix(all[0].Where, "a trace") || len(all[0].Hints) == 0 {
			t.Errorf("%v, want %q", err, bad.what)
		}
	}
	f, err := study.NewLawFall("a trace", 1, rec, set)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := study.FitSeries([]study.LawFall{f, f}, "linear"); problem.KindOf(err) != problem.Invalid {
		t.Errorf("a series of two: %v", err)
	}
}

// LawRope keeps every digit on the way to the wall.
func TestLawRope(t *testing.T) {
	k := fit.Known{Law: "linear", Names: []string{"modulus"}, Values: []float64{21000}, Covariance: [][]float64{{90000}}, Fitted: fit.Range{Strain: 0.3, Rate: 2, Force: 4000}}
	w, err := study.LawRope("dry, first fall", "fitted", 2, k)
	if err != nil {
		t.Fatal(err)
	}
	c, err := w.Known.Make(w.Known.Values)
	if err != nil || w.Condition != 2 || w.Known.Covariance[0][0] != 90000 || c.Rope.Fitted != (field.Fitted{Strain: 0.3, Rate: 2, Force: 4000}) {
		t.Errorf("%+v, %+v, %v", w, c.Rope, err)
	}
}
