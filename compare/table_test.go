package compare

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"testing"

	"fallwright.example/internal/near"
)

// series makes one observation a value: specimen, ... of a condition.
func series(condition, prefix string, fall int, values ...float64) []Observation {
	var out []Observation
	for i, v := range values {
		out = append(out, Observation{fmt.Sprintf("%s-%d", prefix, i+1), condition, fall, v})
	}
	return out
}

func join(parts ...[]Observation) []Observation {
	var out []Observation
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

func shuffled(obs []Observation, seed uint64) []Observation {
	out := append([]Observation(nil), obs...)
	rand.New(rand.NewPCG(seed, 0)).Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// t4 is the 97.5 % quantile of Student's t on 4 degrees of freedom, 2√(q − 1)
// with q = cos(arccos(√a)/3)/√a and a = 4·0.975·0.025; likewise the 95 % one.
var t4, t4at90 = closed(0.975), closed(0.95)

func closed(p float64) float64 {
	a := math.Sqrt(4 * p * (1 - p))
	return 2 * math.Sqrt(math.Cos(math.Acos(a)/3)/a-1)
}

// t2 is the 97.5 % quantile on 2 degrees of freedom, 0.95·√(2/(1 − 0.95²)).
var t2 = 0.95 * math.Sqrt(2/(1-0.95*0.95))

func TestTable(t *testing.T) {
	obs := join(
		series("dry", "D", 1, 3000, 3100, 3200), series("soaked", "S", 1, 3500),
		series("dry", "D", 2, 5, 5), series("worn", "W", 3, 1))
	cells, err := Table(shuffled(obs, 1), []string{"soaked", "dry", "unheard of"})
	if err != nil {
		t.Fatal(err)
	}
	for seed := range uint64(20) {
		if again, _ := Table(shuffled(obs, seed), []string{"soaked", "dry"}); fmt.Sprint(again) != fmt.Sprint(cells) {
			t.Fatalf("another order of the same observations: %v, want %v", again, cells)
		}
	}
	if len(cells) != 3 {
		t.Fatalf("%d cells, want soaked 1, dry 1, dry 2", len(cells))
	}
	one, three, flat := cells[0], cells[1], cells[2]
	if one.Condition != "soaked" || three.Condition != "dry" || three.Fall != 1 || flat.Fall != 2 {
		t.Errorf("order: %+v", cells)
	}
	// Exact algebra: mean 3100, SD 100, and Student's interval on 2.
	half := t2 * 100 / math.Sqrt(3)
	if three.N != 3 || three.Mean != 3100 || three.SD != 100 || three.DF != 2 ||
		!near.Rel(three.SE, 100/math.Sqrt(3), 1e-14) ||
		!near.Rel(three.Lower, 3100-half, 1e-12) || !near.Rel(three.Upper, 3100+half, 1e-12) {
		t.Errorf("three values: %+v", three)
	}
	if !reflect.DeepEqual(three.Specimens, []string{"D-1", "D-2", "D-3"}) || !reflect.DeepEqual(three.Values, []float64{3000, 3100, 3200}) {
		t.Errorf("specimens %v, values %v", three.Specimens, three.Values)
	}
	if one.N != 1 || one.Mean != 3500 || one.DF != 0 || known(one.SD) || known(one.SE) || known(one.Lower) || known(one.Upper) {
		t.Errorf("one value: %+v, want the mean and no spread", one)
	}
	if flat.Mean != 5 || flat.SD != 0 || known(flat.Lower) || known(flat.Upper) {
		t.Errorf("equal values: %+v, want SD 0 and no interval", flat)
	}
}

func known(x float64) bool { return !math.IsNaN(x) }

// Exact algebra on logarithms 2±1 and 0±1 of three specimens each: the
// difference is 2, SE √(2/3), on 4 degrees of freedom. In per cent that is
// 100·(e^(2 ± t·SE) − 1).
func TestAgainst(t *testing.T) {
	e := math.Exp
	obs := join(
		series("soaked", "S", 2, e(1), e(2), e(3)), series("dry", "D", 2, e(-1), 1, e(1)),
		series("soaked", "S", 1, 30, 32, 34), series("dry", "D", 1, 20, 22, 24),
		series("worn", "W", 1, 26), series("soaked", "S", 3, 7), series("worn", "W", 4, 7))
	got, err := Against(shuffled(obs, 2), "dry", []string{"dry", "worn", "soaked"})
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 3 {
		t.Fatalf("%d differences, want worn 1, soaked 1, soaked 2", len(got))
	}
	worn, linear, logs := got[0], got[1], got[2]
	if worn.Condition != "worn" || worn.Baseline != "dry" || linear.Fall != 1 || logs.Fall != 2 || logs.N != 3 || worn.N != 1 || worn.NBaseline != 3 {
		t.Errorf("order or counts: %+v", got)
	}
	se := math.Sqrt(2. / 3)
	checked := 0
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"per cent", logs.Percent, 100 * (e(2) - 1)},
		{"df", logs.PercentDF, 4},
		{"lower", logs.PercentLower, 100 * (e(2-t4*se) - 1)},
		{"upper", logs.PercentUpper, 100 * (e(2+t4*se) - 1)},
		{"lower at 90", logs.PercentLower90, 100 * (e(2-t4at90*se) - 1)},
		{"upper at 90", logs.PercentUpper90, 100 * (e(2+t4at90*se) - 1)},
		// 10 apart, SD 2 both: SE 2√(2/3).
		{"amount", linear.Amount, 10},
		{"SE", linear.SE, 2 * se},
		{"df", linear.DF, 4},
		{"t", linear.T, 10 / (2 * se)},
		{"lower", linear.Lower, 10 - 2*t4*se},
		{"upper", linear.Upper, 10 + 2*t4*se},
		{"lower at 90", linear.Lower90, 10 - 2*t4at90*se},
		{"upper at 90", linear.Upper90, 10 + 2*t4at90*se},
		// P(|t4| > t) = 1 − s·(3 − s²)/2 with s = t/√(4 + t²), t² = 37.5.
		{"p", linear.P, 1 - math.Sqrt(37.5/41.5)*(3-37.5/41.5)/2},
		{"p of per cent", logs.PercentP, 1 - math.Sqrt(6./10)*(3-6./10)/2},
		{"amount of one", worn.Amount, 4},
		{"per cent of one", worn.Percent, 100 * (26/math.Cbrt(20*22*24) - 1)},
	} {
		if !near.Rel(c.got, c.want, 1e-11) {
			t.Errorf("%s = %.15g, want %.15g", c.what, c.got, c.want)
		}
		checked++
	}
	if checked != 18 {
		t.Fatalf("%d figures checked, want 18", checked)
	}
	for _, x := range []float64{worn.SE, worn.DF, worn.Lower, worn.Upper, worn.P, worn.T, worn.Lower90, worn.PercentLower, worn.PercentUpper90, worn.PercentP} {
		if known(x) {
			t.Errorf("one specimen has an interval: %+v", worn)
		}
	}
}

// Peak force on pads of seven thicknesses [Yao2025]: the authors' Welch tests of
// neighbours, read here as conditions with one fall. Tolerance: 10 digits, as
// in package oneway, which checks every column.
func TestAgainstPads(t *testing.T) {
	root := os.Getenv("FALLWRIGHT_SHARED")
	if root == "" {
		root = filepath.Join("..", "..", "shared")
	}
	read := func(name ...string) [][]string {
		f, err := os.Open(filepath.Join(append([]string{root, "data", "pad-impact-dose"}, name...)...))
		if err != nil {
			t.Skipf("NOT CHECKED: differences against a published table: %v", err)
		}
		defer f.Close()
		rows, err := csv.NewReader(f).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return rows[1:]
	}
	var obs []Observation
	for i, row := range read("data.csv") {
		v, err := strconv.ParseFloat(row[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		obs = append(obs, Observation{fmt.Sprint("P-", i), row[0] + " mm", 1, v})
	}
	checked := 0
	for _, row := range read("expected", "pairwise_comparisons.csv") {
		if row[0] != "peak_force" {
			continue
		}
		got, err := Against(obs, row[2], []string{row[1]})
		if err != nil || len(got) != 1 {
			t.Fatal(got, err)
		}
		d := got[0]
		for col, x := range map[int]float64{3: d.Amount, 4: d.SE, 5: d.T, 6: d.P, 8: d.Lower, 9: d.Upper} {
			want, err := strconv.ParseFloat(row[col], 64)
			if err != nil {
				t.Fatal(err)
			}
			if !near.Rel(x, want, 1e-10) {
				t.Errorf("%s and %s: column %d is %.15g, published %.15g", row[1], row[2], col, x, want)
			}
			checked++
		}
	}
	if checked != 36 {
		t.Fatalf("%d figures checked, want 6 pairs of 6", checked)
	}
}
