package lmm_test

import (
	"fmt"
	"math"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
	"fallwright.example/refdata"
)

// Source: [NISTSRD140], groups of equal size taken as random: REML is then their
// certified analysis of variance. Tolerance: 7 digits up to an offset of 1e6;
// at 1e12 the values themselves hold three digits of their spread.
func TestNISTGroupsAsRandom(t *testing.T) {
	checked := 0
	for _, set := range refdata.NISTOneWay() {
		k := len(set.Groups[0])
		m := lmm.Model{Names: []string{"mean"}, Random: []lmm.Term{{Name: "group"}}}
		for i, g := range set.Groups {
			m.Y = append(m.Y, g...)
			for range g {
				m.Random[0].Level = append(m.Random[0].Level, i)
			}
		}
		n := len(m.Y)
		m.X = ones(n)
		groups := len(set.Groups)
		between, within := set.SSBetween/float64(groups-1), set.SSWithin/float64(n-groups)
		tol := 1e-7
		if set.Groups[0][0] > 1e9 {
			tol = 3e-3
		}
		f, err := lmm.New(m, lmm.REML)
		if err != nil {
			t.Fatal(set.Name, err)
		}
		h := &held{T: t, name: set.Name}
		h.rel("residual", f.ResidualVariance, within, tol)
		h.rel("between", f.Components[0].Covariance[0][0], (between-within)/float64(k), tol)
		checked++
	}
	if checked != 11 {
		t.Fatalf("%d sets looked at", checked)
	}
}

// In balanced groups the predicted effect is the group's mean less the grand
// mean, times kτ²/(kτ² + σ²); and what is fitted and left over makes up y.
func TestEffectsOfBalancedGroups(t *testing.T) {
	const g, k = 6, 5
	m := lmm.Model{X: ones(g * k), Names: []string{"mean"}, Random: []lmm.Term{{Name: "batch"}}}
	// Source: Dyestuff, [Davies1972].
	m.Y = []float64{
		1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
		1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445,
	}
	for i := range m.Y {
		m.Random[0].Level = append(m.Random[0].Level, 10*(i/k))
	}
	f := fitted(t, m)
	tau := f.Components[0].Covariance[0][0]
	shrink := k * tau / (k*tau + f.ResidualVariance)
	effects := f.Effects(0)
	if len(effects) != g || f.Effects(1) != nil {
		t.Fatalf("effects %v", effects)
	}
	h := &held{T: t, name: "Dyestuff"}
	for i := range g {
		mean := 0.0
		for _, y := range m.Y[i*k : i*k+k] {
			mean += y / k
		}
		h.rel(fmt.Sprint("effect ", i), effects[10*i][0], shrink*(mean-1527.5), 1e-7)
	}
	for i, v := range f.Fitted() {
		h.abs("fitted", v, 1527.5+effects[10*(i/k)][0], 1e-8)
		h.abs("residual", f.Residuals()[i], m.Y[i]-v, 1e-9)
	}
}

// An independent slope and a correlated one counted from 1000 give the same
// lines as effects say: Fitted = Xβ + intercept + slope·x.
func TestEffectsOfSlopes(t *testing.T) {
	for _, c := range reference(t).Cases {
		if c.Random[0].Slope == nil {
			continue
		}
		m := modelOf(c)
		f := fitted(t, m)
		effects, fit := f.Effects(0), f.Fitted()
		for i, l := range m.Random[0].Level {
			want := effects[l][0] + effects[l][1]*m.Random[0].Slope[i]
			for j, b := range f.Beta {
				want += b * m.X.At(i, j)
			}
			if !near.Abs(fit[i], want, 1e-9*math.Abs(want)) {
				t.Fatalf("%s, row %d: %g, want %g", c.Name, i+1, fit[i], want)
			}
		}
	}
}
