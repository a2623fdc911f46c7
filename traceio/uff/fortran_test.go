package uff_test

import (
	"math"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio/uff"
)

// catch is the series of testdata/make.f90, in newtons.
func catch(i int) float64 { return float64((i*7919)%20011-10000) / 8 }

// The files were written by a Fortran compiler with the formats of the
// published descriptions [UFF58, UFF164]. Tolerance: E13.5 as Fortran writes it
// carries 5 digits, so half a unit of the fifth, 5e-5 of the value at most;
// 1P,D20.12 carries 13 and E20.12 12, so 5e-13 and 5e-12; times likewise.
func TestFilesOfFortran(t *testing.T) {
	const n = 14
	checked := 0
	near := func(file, what string, i int, got, want, tol float64) {
		checked++
		if math.Abs(got-want) > tol*math.Abs(want) {
			t.Errorf("%s: %s %d is %.15g, want %.15g", file, what, i+1, got, want)
		}
	}
	for _, c := range []struct {
		file  string
		unit  string
		newt  float64 // newtons in the unit
		tol   float64
		time  func(i int) float64
		force func(i int) float64
	}{
		{"single-even.uff", "N", 1, 5e-6, func(i int) float64 { return 0.5 + float64(i-1)*2.5e-4 }, catch},
		{"double-even-pounds.uff", "lbf", 4.4482216152605, 5e-13, func(i int) float64 { return float64(i-1) * 1e-3 }, catch},
		{"single-uneven.uff", "kN", 1000, 5e-5, func(i int) float64 { return 0.25*float64(i) + 0.03125*float64(i%3) }, catch},
		{"double-uneven.uff", "N", 1, 5e-12, func(i int) float64 { return 0.25*float64(i) + 0.03125*float64(i%3) }, func(i int) float64 {
			if i == 5 {
				return -1.5e-101
			}
			return catch(i)
		}},
	} {
		file, err := uff.Format{}.Read(c.file, testdata(t, c.file), trace.Ask{})
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		rec := file.Parts[0]
		if len(rec.Force) != n || rec.Unit != c.unit || rec.ForceColumn != "Cell" || len(rec.Notes) > 0 {
			t.Fatalf("%s: %d values in %s of %s, %v", c.file, len(rec.Force), rec.Unit, rec.ForceColumn, rec.Notes)
		}
		for i := range n {
			near(c.file, "force", i, rec.Force[i], c.force(i+1)*c.newt, c.tol)
			near(c.file, "time", i, rec.Time[i], c.time(i+1), 5e-5)
		}
	}
	if checked != 4*2*n {
		t.Errorf("%d values checked, want %d", checked, 4*2*n)
	}
}

// Two drops in one file, in mN by set 164, each with a displacement in mm.
func TestTwoDropsOfFortran(t *testing.T) {
	file, err := uff.Format{}.Read("two-drops.uff", testdata(t, "two-drops.uff"), trace.Ask{})
	if err != nil {
		t.Fatal(err)
	}
	if len(file.Parts) != 2 || file.Parts[0].Part != "M-01 fall 1" || file.Parts[1].Part != "M-01 fall 2" {
		t.Fatalf("%d drops, %+v", len(file.Parts), file.Parts)
	}
	for d, rec := range file.Parts {
		if rec.Unit != "mN" || len(rec.Stretch) != 14 {
			t.Fatalf("drop %d in %s with %d values of stretch", d+1, rec.Unit, len(rec.Stretch))
		}
		for i := range rec.Force {
			if want := catch(i+1) * float64(d+1); math.Abs(rec.Force[i]-want) > 5e-5*math.Abs(want) {
				t.Errorf("drop %d: force %d is %g N, want %g", d+1, i+1, rec.Force[i], want)
			}
			if want := catch(i+1) * 1e-4 * float64(d+1); math.Abs(rec.Stretch[i]-want) > 5e-5*math.Abs(want) {
				t.Errorf("drop %d: stretch %d is %g m, want %g", d+1, i+1, rec.Stretch[i], want)
			}
		}
	}
}
