package uptake

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
	"fallwright.example/refdata"
)

// pairs makes points without specimens.
func pairs(t, w []float64) []Point {
	var out []Point
	for i := range t {
		out = append(out, Point{Row: fmt.Sprintf("line %d", i+1), Time: t[i], Uptake: w[i]})
	}
	return out
}

// Misra1a and BoxBOD of [NISTSRD140] are the first order law to the letter, each
// certified to eleven digits. No start is given: the far ones of the files are
// nothing to this fit.
func TestFirstOrderCertified(t *testing.T) {
	checked := 0
	for _, set := range refdata.NISTNLS() {
		if set.Name != "Misra1a" && set.Name != "BoxBOD" {
			continue
		}
		f, err := FitLaw(FirstOrder(), pairs(set.X, set.Y), false)
		if err != nil {
			t.Fatal(err)
		}
		k, seK := f.Term(1)
		rss := f.Sigma * f.Sigma * f.DF
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"W∞", f.P[0], set.P[0]},
			{"k", k.Value, set.P[1]},
			{"SE of W∞", f.SE[0], set.SD[0]},
			{"SE of k", seK, set.SD[1]},
			{"RSS", rss, set.RSS},
			{"residual SD", f.Sigma, set.S},
		} {
			if d := near.Digits(c.got, c.want); d < 8 {
				t.Errorf("%s: %s is %.12g, certified %.11g: %.1f digits", set.Name, c.what, c.got, c.want, d)
			}
			checked++
		}
	}
	if checked != 12 {
		t.Fatalf("%d numbers checked", checked)
	}
}

// shared is the folder of other people's data beside the project.
func shared(t *testing.T, parts ...string) string {
	t.Helper()
	root := os.Getenv("FALLWRIGHT_SHARED")
	if root == "" {
		root = filepath.Join("..", "..", "shared")
	}
	path := filepath.Join(append([]string{root, "data"}, parts...)...)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("%s is not here: a published table is not checked", filepath.Join(parts...))
	}
	return path
}

// Misra1d is Peleg's law: y = b₁b₂x/(1 + b₂x), W∞ = b₁ and T = 1/b₂.
func TestPelegCertified(t *testing.T) {
	file, err := os.Open(shared(t, "nist-strd-nls", "Misra1d.dat"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var x, y []float64
	lines := bufio.NewScanner(file)
	for line := 1; lines.Scan(); line++ {
		if cells := strings.Fields(lines.Text()); line > 60 && len(cells) == 2 {
			b, errY := strconv.ParseFloat(cells[0], 64)
			a, errX := strconv.ParseFloat(cells[1], 64)
			if errX != nil || errY != nil {
				t.Fatalf("line %d: %q", line, cells)
			}
			x, y = append(x, a), append(y, b)
		}
	}
	if len(x) != 14 {
		t.Fatalf("%d points read", len(x))
	}
	f, err := FitLaw(Peleg(), pairs(x, y), false)
	if err != nil {
		t.Fatal(err)
	}
	k1, _ := f.Term(1)
	k2, _ := f.Term(2)
	for _, c := range []struct{ got, want float64 }{
		{f.P[0], 4.3736970754e+02},
		{1 / f.P[1], 3.0227324449e-04},
		{f.SE[0], 3.6489174345},
		{k1.Value, 1 / (4.3736970754e+02 * 3.0227324449e-04)},
		{k2.Value, 1 / 4.3736970754e+02},
	} {
		if near.Digits(c.got, c.want) < 8 {
			t.Errorf("%.12g, certified %.11g", c.got, c.want)
		}
	}
}

// Two soils drew water from a disc: cumulative depth against time, published with
// its table. R's lm gives the coefficients, R² and residual deviation that the
// table's own notes print, to their six digits.
func TestInfiltration(t *testing.T) {
	data, err := os.ReadFile(shared(t, "infiltration-sqrt-time", "infiltration.csv"))
	if err != nil {
		t.Fatal(err)
	}
	times, depth, start := map[string][]float64{}, map[string][]float64{}, map[string]float64{}
	for i, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		if i == 0 {
			continue
		}
		cells := strings.Split(strings.TrimSpace(line), ",")
		at, _ := strconv.ParseFloat(cells[1], 64)
		volume, _ := strconv.ParseFloat(cells[2], 64)
		if _, known := start[cells[0]]; !known {
			start[cells[0]] = volume
		}
		times[cells[0]] = append(times[cells[0]], at)
		depth[cells[0]] = append(depth[cells[0]], (start[cells[0]]-volume)/(math.Pi*2.25*2.25))
	}
	for soil, want := range map[string][5]float64{
		"soil_a": {-0.015397, 0.0600380, 0.00252208, 0.996771, 0.035564},
		"soil_b": {-0.003526, 0.0040367, 0.0140388, 0.988568, 0.171658},
	} {
		f, err := FitLaw(Philip(), pairs(times[soil], depth[soil]), false)
		if err != nil {
			t.Fatal(err)
		}
		mean, total := 0.0, 0.0
		for _, d := range depth[soil] {
			mean += d / float64(len(depth[soil]))
		}
		for _, d := range depth[soil] {
			total += (d - mean) * (d - mean)
		}
		r2 := 1 - f.Sigma*f.Sigma*f.DF/total
		for i, got := range []float64{f.P[0], f.P[1], f.P[2], r2, f.Sigma} {
			if !near.Abs(got, want[i], 6e-7*max(1, math.Abs(want[i]))) {
				t.Errorf("%s: number %d is %.8g, published %.7g", soil, i, got, want[i])
			}
		}
		if len(depth[soil]) != 11 {
			t.Errorf("%s: %d points", soil, len(depth[soil]))
		}
	}
}

// Curves by R's nls, refdata/uptake/make_reference.R, which prints ten digits and
// stops at a relative offset of 1e-7 or so: six digits hold, four of the two
// pockets' standard errors, whose valley is flat.
func TestAgainstNls(t *testing.T) {
	ref := reference(t)
	soak := func(keep func(i int) bool) []Point {
		var out []Point
		for i, w := range ref.Soak.Uptake {
			if keep(i) {
				out = append(out, Point{Time: ref.Soak.Minutes[i], Uptake: w})
			}
		}
		return out
	}
	all := func(int) bool { return true }
	points := map[string][]Point{
		"BOD first order":  pairs(ref.BOD.Time, ref.BOD.Demand),
		"soak peleg":       soak(all),
		"soak weibull":     soak(all),
		"soak two pockets": soak(func(i int) bool { return ref.Soak.Specimen[i] == "B" || ref.Soak.Specimen[i] == "D" }),
		"soak square root": soak(func(i int) bool { return ref.Soak.Minutes[i] <= 15 }),
	}
	laws := map[string]Law{
		"BOD first order": FirstOrder(), "soak peleg": Peleg(), "soak weibull": Weibull(), "soak two pockets": TwoPockets(), "soak square root": SquareRoot(),
	}
	for _, c := range ref.Curves {
		f, err := FitLaw(laws[c.Name], points[c.Name], false)
		if err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
		within, withinSE := 1e-6, 1e-5
		if c.Name == "soak two pockets" {
			within, withinSE = 1e-4, 2e-3
		}
		for k := range c.P {
			if !near.Rel(f.P[k], c.P[k], within) || !near.Rel(f.SE[k], c.SE[k], withinSE) {
				t.Errorf("%s: parameter %d is %.9g, SE %.9g; nls %.9g, %.9g", c.Name, k, f.P[k], f.SE[k], c.P[k], c.SE[k])
			}
		}
		if rss := f.Sigma * f.Sigma * f.DF; !near.Rel(rss, c.RSS, 1e-7) {
			t.Errorf("%s: RSS %.10g, nls %.10g", c.Name, rss, c.RSS)
		}
	}
	if len(ref.Curves) != 5 {
		t.Fatalf("%d curves checked", len(ref.Curves))
	}
}

func reference(t *testing.T) refdata.UptakeReference {
	t.Helper()
	ref, err := refdata.Uptake()
	if err != nil {
		t.Fatal(err)
	}
	return ref
}

// specimens is the soak of the reference in seconds and shares.
func specimens(t *testing.T) []Point {
	ref := reference(t)
	var out []Point
	for i, w := range ref.Soak.Uptake {
		out = append(out, Point{Specimen: ref.Soak.Specimen[i], Time: 60 * ref.Soak.Minutes[i], Uptake: w / 100})
	}
	return out
}

// Repeated weighings: the mixed model of num/nlmm, held against R there, seen
// through the law: the saturation of the first order law with a full covariance is
// e^3.694026 per cent (R's lme in the alternation), its standard error 0.02840 of it.
func TestRepeated(t *testing.T) {
	f, err := FitLaw(FirstOrder(), specimens(t), false)
	if err != nil {
		t.Fatal(err)
	}
	if f.Kind != Repeated || f.Specimens != 5 || f.DF != 4 {
		t.Errorf("%s, %d specimens, df %g", f.Kind, f.Specimens, f.DF)
	}
	for _, c := range reference(t).Mixed {
		if c.Name != "soak first order" || c.Method != "REML" || c.Diagonal {
			continue
		}
		w := math.Exp(c.Beta[0]) / 100
		if !near.Rel(f.Saturation.Value, w, 1e-5) || !near.Rel(f.Saturation.SE, w*math.Sqrt(c.Covariance[0]), 1e-3) {
			t.Errorf("saturation %.8g, SE %.6g; R %.8g, %.6g", f.Saturation.Value, f.Saturation.SE, w, w*math.Sqrt(c.Covariance[0]))
		}
		if half := 60 * math.Exp(c.Beta[1]) * math.Ln2; !near.Rel(f.Times[0].Value, half, 1e-5) {
			t.Errorf("half of it after %.8g s, R %.8g", f.Times[0].Value, half)
		}
		if want := math.Sqrt(c.Omega[3]); !near.Rel(f.BetweenTime, want, 2e-3) {
			t.Errorf("between specimens ln T has SD %.6g, R %.6g", f.BetweenTime, want)
		}
	}
	// The profile is close to ln W∞ ± t·SE here, where specimens are what scatters.
	h := 2.776445 * f.Saturation.SE / f.Saturation.Value
	if lo, hi := f.Saturation.Value*math.Exp(-h), f.Saturation.Value*math.Exp(h); !near.Rel(f.Saturation.Lower, lo, 0.01) || !near.Rel(f.Saturation.Upper, hi, 0.01) {
		t.Errorf("interval %.5g to %.5g, by Student's t %.5g to %.5g", f.Saturation.Lower, f.Saturation.Upper, lo, hi)
	}
	t.Logf("%+v\n%+v", f.Saturation, f.Times)
}

// A law in other units is the same law: per cent and minutes for shares and
// seconds.
func TestUnits(t *testing.T) {
	a := specimens(t)
	var b []Point
	for _, p := range a {
		p.Uptake, p.Time = 100*p.Uptake, p.Time/60
		b = append(b, p)
	}
	for _, law := range []Law{FirstOrder(), Weibull(), Cylinder()} {
		within := 2e-4
		if law.Name == "cylinder" { // its correlation between specimens ends at −1, where the likelihood is hardly curved
			within = 3e-3
		}
		for _, one := range []string{"", "B"} {
			keep := func(points []Point) (out []Point) {
				for _, p := range points {
					if one == "" || p.Specimen == one {
						out = append(out, p)
					}
				}
				return out
			}
			f, err := FitLaw(law, keep(a), false)
			if err != nil {
				t.Fatal(err)
			}
			g, err := FitLaw(law, keep(b), false)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range [][2]float64{
				{100 * f.Saturation.Value, g.Saturation.Value},
				{100 * f.Saturation.Lower, g.Saturation.Lower},
				{100 * f.Saturation.Upper, g.Saturation.Upper},
				{f.Times[2].Value / 60, g.Times[2].Value},
				{f.Times[2].Lower / 60, g.Times[2].Lower},
				{f.Times[2].Upper / 60, g.Times[2].Upper},
			} {
				if !near.Rel(c[0], c[1], within) {
					t.Errorf("%s %q: %.9g in shares and seconds, %.9g in per cent and minutes", law.Name, one, c[0], c[1])
				}
			}
		}
	}
}

func TestFitRefusals(t *testing.T) {
	for _, c := range []struct {
		name string
		law  Law
		t, w []float64
		want problem.Kind
	}{
		{"two times", FirstOrder(), []float64{60, 300, 300}, []float64{0.1, 0.2, 0.21}, problem.TooFew},
		{"times at zero only", FirstOrder(), []float64{0, 0, 0, 60}, []float64{0, 0, 0, 0.2}, problem.TooFew},
		{"nothing taken up", FirstOrder(), []float64{60, 120, 300, 600}, []float64{0, 0, 0, 0}, problem.TooFew},
		{"two pockets by four", TwoPockets(), []float64{60, 120, 300, 600}, []float64{0.1, 0.2, 0.3, 0.35}, problem.TooFew},
	} {
		if _, err := FitLaw(c.law, pairs(c.t, c.w), false); problem.KindOf(err) != c.want {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// What fixes the time to a share while the shapes move is what differences say.
// Central differences with 1e-5 of a number of order 1 hold to some 1e-9.
func TestBend(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		law Law
		p   []float64
	}{
		{Weibull(), []float64{0.4, 390, 0.69}},
		{Weibull(), []float64{0.4, 390, 2.5}},
		{TwoPockets(), []float64{0.4, 15, 0.8, 12}},
		{TwoPockets(), []float64{0.4, 60, 0.2, 300}},
	} {
		for _, share := range Shares() {
			u := c.law.reach(share, c.p[2:])
			got := c.law.bend(u, c.p)
			for k := range c.law.Shapes {
				phi := c.law.toFree(c.p)
				want := -slope(func(v float64) float64 {
					q := slices.Clone(phi)
					q[2+k] = v
					return math.Log(c.law.reach(share, c.law.fromFree(q)[2:]))
				}, phi[2+k])
				checked++
				if !near.Abs(got[k], want, 1e-7) {
					t.Errorf("%s at %v, %s, %g: %.10g, by differences %.10g", c.law.Name, c.p, c.law.Shapes[k].Name, share, got[k], want)
				}
			}
		}
	}
	if checked != 18 {
		t.Errorf("checked %d", checked)
	}
}

// Times take longest and are given of one law: those tried beside it have none.
func TestTimesOfTheChosenOnly(t *testing.T) {
	var points []Point
	for i, name := range []string{"A", "B", "C"} {
		for j, at := range []float64{20, 40, 60, 120, 300, 900} {
			points = append(points, Point{Specimen: name, Time: at, Uptake: (0.38 + 0.02*float64(i)) * (1 - math.Exp(-at/20)) * (1 + 0.004*math.Sin(float64(7*i+5*j)))})
		}
	}
	a, err := Answers(points, "", false)
	if err != nil {
		t.Fatal(err)
	}
	if len(a[0].Times) != 3 || len(a[0].Tried) < 3 || len(a[0].asGood()) < 2 {
		t.Fatalf("%d times, %d laws, %d of them as good", len(a[0].Times), len(a[0].Tried), len(a[0].asGood()))
	}
	for _, f := range a[0].Tried[1:] {
		if f.Times != nil {
			t.Errorf("%s has times", f.Law.Name)
		}
	}
}
