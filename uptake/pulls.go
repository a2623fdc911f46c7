package uptake

import (
	"math"
	"slices"

	"fallwright.example/num/lmm"
	"fallwright.example/problem"
)

// Pulled is one pull of a series: which device, which rope and state, its force.
type Pulled struct {
	Device    string
	Condition string // "dry", "wet"; the rope and its state
	Specimen  string
	Force     float64 // N, mean of the steady part
}

// PullRatio is the force of one device or condition over that of the first.
type PullRatio struct {
	Of, Against string
	Within      string // the device, where a condition is compared in each; or empty
	Ratio       Estimate
	DF, P, Holm float64
}

// ComparePulls compares mean forces by the mixed model of num/lmm on the
// logarithmic scale: device, condition and, where every device met every
// condition, their interaction; specimen as a random effect where one was pulled
// several times. It gives conditions against the first, in each device and over
// all, and devices against the first; p is adjusted over all after [Holm1979].
// It refuses forces that are not above zero: Invalid; and too few pulls to leave a
// residual: TooFew.
func ComparePulls(pulls []Pulled) ([]PullRatio, error) {
	m := pullModel{}
	for _, p := range pulls {
		if !(p.Force > 0) || math.IsInf(p.Force, 1) {
			return nil, problem.New(problem.Invalid, p.Specimen, "a mean force of %g N through %s", p.Force, p.Device)
		}
		m.y = append(m.y, math.Log(p.Force))
		m.device.add(p.Device)
		m.condition.add(p.Condition)
		m.specimen.add(p.Specimen)
	}
	if len(m.device.names) < 2 && len(m.condition.names) < 2 {
		return nil, problem.New(problem.TooFew, "pull", "there is one device and one rope, and nothing to compare")
	}
	return m.compare()
}

// coded are the levels of a column in the order met.
type coded struct {
	names []string
	code  []int
}

func (c *coded) add(name string) {
	i := slices.Index(c.names, name)
	if i < 0 {
		i = len(c.names)
		c.names = append(c.names, name)
	}
	c.code = append(c.code, i)
}

type pullModel struct {
	y                           []float64
	device, condition, specimen coded
	design                      *lmm.Design
}

func (m *pullModel) compare() ([]PullRatio, error) {
	v := lmm.Variables{Rows: len(m.y)}
	var terms []string
	for _, f := range []struct {
		name string
		of   coded
	}{{"device", m.device}, {"condition", m.condition}} {
		if len(f.of.names) > 1 {
			v.Factors, terms = append(v.Factors, lmm.Factor{Name: f.name, Levels: f.of.names, Code: f.of.code}), append(terms, f.name)
		}
	}
	if len(terms) == 2 && m.crossed() {
		terms = append(terms, "device:condition")
	}
	var err error
	if m.design, err = v.Design(terms...); err != nil {
		return nil, refusedPull(err)
	}
	model := lmm.Model{Y: m.y, X: m.design.X, Names: m.design.Names}
	if len(m.specimen.code) > len(m.specimen.names) && len(m.specimen.names) > 1 {
		model.Random = []lmm.Term{{Name: "specimen", Level: m.specimen.code}}
	}
	fit, err := lmm.New(model, lmm.REML)
	if err != nil {
		return nil, refusedPull(err)
	}
	out, rows, err := m.contrasts(len(terms) == 3)
	if err != nil {
		return nil, err
	}
	set, err := fit.Contrasts(rows, lmm.KenwardRoger)
	if err != nil {
		return nil, refusedPull(err)
	}
	var p []float64
	for i, c := range set.Each {
		low, high := c.Interval(Level)
		ratio := math.Exp(c.Estimate)
		out[i].Ratio, out[i].DF, out[i].P = Estimate{ratio, ratio * c.SE, math.Exp(low), math.Exp(high)}, c.DF, c.P
		p = append(p, c.P)
	}
	holm, err := lmm.Holm(p)
	if err != nil {
		return nil, refusedPull(err)
	}
	for i := range out {
		out[i].Holm = holm[i]
	}
	return out, nil
}

// crossed reports whether every device met every condition, and often enough that
// a residual is left.
func (m *pullModel) crossed() bool {
	seen := map[[2]int]bool{}
	for i := range m.y {
		seen[[2]int{m.device.code[i], m.condition.code[i]}] = true
	}
	cells := len(m.device.names) * len(m.condition.names)
	return len(seen) == cells && len(m.y) > cells
}

func (m *pullModel) contrasts(each bool) (out []PullRatio, rows [][]float64, err error) {
	add := func(r PullRatio, a, b map[string]string) {
		x, errX := m.design.Row(a, nil)
		y, errY := m.design.Row(b, nil)
		if errX != nil || errY != nil {
			err = refusedPull(errX)
			return
		}
		out, rows = append(out, r), append(rows, lmm.Difference(x, y))
	}
	base := m.condition.names[0]
	for _, c := range m.condition.names[1:] {
		add(PullRatio{Of: c, Against: base}, map[string]string{"condition": c}, map[string]string{"condition": base})
		for _, d := range m.device.names {
			if each {
				add(PullRatio{Of: c, Against: base, Within: d}, map[string]string{"condition": c, "device": d}, map[string]string{"condition": base, "device": d})
			}
		}
	}
	for _, d := range m.device.names[1:] {
		add(PullRatio{Of: d, Against: m.device.names[0]}, map[string]string{"device": d}, map[string]string{"device": m.device.names[0]})
	}
	return out, rows, err
}

func refusedPull(err error) error {
	return problem.New(problem.TooFew, "pull", "these pulls cannot be compared: %v", err)
}
