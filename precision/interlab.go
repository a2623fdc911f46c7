package precision

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fallwright.example/num/varcomp"
	"fallwright.example/problem"
)

// Reading is one value by one lab (rig, bench, operator) on one material (rope,
// lot, level).
type Reading struct {
	Lab, Material string
	Value         float64
}

// Left names readings to be left out: of a lab on a material, or of a lab
// altogether when Material is empty.
type Left struct {
	Lab      string `json:"lab"`
	Material string `json:"material,omitempty"`
}

func (l Left) String() string {
	if l.Material == "" {
		return l.Lab
	}
	return l.Lab + " on " + l.Material
}

func (l Left) covers(r Reading) bool {
	return l.Lab == r.Lab && (l.Material == "" || l.Material == r.Material)
}

// Interlab is an interlaboratory study.
type Interlab struct {
	Labs      []string   `json:"labs"`
	Materials []Material `json:"materials"`
	// Without is the same study without the readings named in LeftOut, null when
	// nothing was to be left out.
	Without *Interlab `json:"without"`
	LeftOut []Left    `json:"left_out,omitempty"`
	Notes   []string  `json:"notes"`
}

// Material is what the labs found on one material.
type Material struct {
	Name  string `json:"material"`
	Labs  int    `json:"labs"`
	N     int    `json:"readings"`
	Equal bool   `json:"equal_numbers"` // of readings in each cell
	// Mean is Σ n·x̄/Σ n, the general mean of ISO 5725-2; CellMean the plain mean
	// of the cells, as in E691. SDOfMeans is s_x̄, the standard deviation of the
	// cell means.
	Mean      float64  `json:"mean"`
	CellMean  float64  `json:"mean_of_cells"`
	SDOfMeans *float64 `json:"sd_of_cell_means"`
	// Repeatability is s_r, pooled over the cells by degrees of freedom; null
	// when no cell has two readings.
	Repeatability *Spread `json:"repeatability"`
	// Between is s_L, what the labs add; zero when the estimate is negative.
	Between *float64 `json:"between_labs"`
	// Reproducibility is s_R = √(s_r² + s_L²) of ISO 5725-2, of single readings
	// in different labs; null for one lab.
	Reproducibility *Spread `json:"reproducibility"`
	// SRE691 is s_R by E691, max(s_r, √(s_x̄² + s_r²·(n−1)/n)), which needs equal
	// numbers and is then the same; null otherwise.
	SRE691   *float64 `json:"reproducibility_sd_e691"`
	Cells    []Cell   `json:"cells"`
	Critical Critical `json:"critical"`
	Tests    []Test   `json:"tests"`
	Flags    []Flag   `json:"flags"`
}

// Cell is one lab on one material.
type Cell struct {
	Lab  string   `json:"lab"`
	N    int      `json:"readings"`
	Mean float64  `json:"mean"`
	SD   *float64 `json:"sd"` // null for one reading
	H    *float64 `json:"h"`  // (mean − mean of cells)/s_x̄
	K    *float64 `json:"k"`  // SD/√(mean of the cells' variances)
}

// Study analyses the readings of one or several labs on one or several
// materials to ISO 5725-2 and E691; the package comment has the symbols.
//
//	s_r² = Σ(n−1)s²/Σ(n−1)       n̿ = (Σn − Σn²/Σn)/(p−1)
//	s_L² = (Σ n(x̄−m)²/(p−1) − s_r²)/n̿      s_R² = s_r² + s_L²
//
// Cells of unequal numbers and missing cells are taken as they are. With one
// reading in each cell there is no s_r, and s_R is the standard deviation of the
// readings. Intervals: χ² for s_r, the modified large-sample method of
// num/varcomp for s_R.
//
// leave names labs and cells to be left out; the full result stands beside the
// one without them. It refuses values that are no numbers, rows without a lab,
// names to leave out that are not there, and a study in which nothing is
// repeated: fewer than two readings of each material.
//
// Source: [ISO57252] 7.4 and [ASTME691], as other texts carry them.
func Study(readings []Reading, leave ...Left) (*Interlab, error) {
	refused := checkValues(len(readings), func(i int) float64 { return readings[i].Value }, reading)
	for i, r := range readings {
		if r.Lab == "" {
			refused = append(refused, problem.New(problem.Invalid, reading(i), "it has no lab").Hint("name who or what took the reading in each row"))
		}
	}
	if err := refused.Err(); err != nil {
		return nil, err
	}
	out, err := study(readings)
	if err != nil || len(leave) == 0 {
		return out, err
	}
	rest := readings
	for _, l := range leave {
		before := len(rest)
		rest = slices.DeleteFunc(slices.Clone(rest), l.covers)
		if len(rest) == before {
			return nil, problem.New(problem.NotFound, l.String(), "there are no such readings to leave out").
				Hint("the labs are %s", sentenceList(out.Labs))
		}
	}
	if out.Without, err = study(rest); err != nil {
		return nil, err
	}
	out.Without.LeftOut = leave
	return out, nil
}

func study(readings []Reading) (*Interlab, error) {
	labs, labNames := numbered(len(readings), func(i int) string { return readings[i].Lab })
	kinds, kindNames := numbered(len(readings), func(i int) string { return readings[i].Material })
	out := &Interlab{Labs: labNames, Materials: []Material{}, Notes: []string{}}
	limits := map[[3]int]Critical{}
	repeated, looks := false, 0
	for k, name := range kindNames {
		cells := make([][]float64, len(labNames))
		for i, r := range readings {
			if kinds[i] == k {
				cells[labs[i]] = append(cells[labs[i]], r.Value)
			}
		}
		m, err := material(name, labNames, cells, limits)
		if err != nil {
			return nil, err
		}
		repeated = repeated || m.N > 1
		for _, c := range m.Cells {
			looks += present(c.H) + present(c.K)
		}
		out.Notes = append(out.Notes, m.notes(labNames)...)
		out.Materials = append(out.Materials, *m)
	}
	if !repeated {
		return nil, problem.New(problem.TooFew, "", "%d readings, and no material was read twice", len(readings)).
			Hint("precision needs readings of the same thing: two or more by a lab, or one each by two labs")
	}
	if looks >= 20 {
		out.Notes = append(out.Notes, fmt.Sprintf("%d values of h and k were looked at: about %.0f would lie beyond the 5 %% limit by chance alone", looks, 0.05*float64(looks)))
	}
	return out, nil
}

func present(x *float64) int {
	if x == nil {
		return 0
	}
	return 1
}

// material analyses one material; cells are by lab and may be empty.
func material(name string, labs []string, cells [][]float64, limits map[[3]int]Critical) (*Material, error) {
	m := &Material{Name: name, Tests: []Test{}, Flags: []Flag{}, Equal: true}
	var y []float64
	var level []int
	means, numbers, variances := []float64{}, map[int]int{}, 0.0
	spreadCells := 0
	for lab, values := range cells {
		if len(values) == 0 {
			continue
		}
		c := momentsOf(values)
		m.Cells = append(m.Cells, Cell{Lab: labs[lab], N: c.n, Mean: c.mean, SD: known(c.sd)})
		means = append(means, c.mean)
		m.Labs, m.N = m.Labs+1, m.N+c.n
		m.Equal = m.Equal && c.n == m.Cells[0].N
		if c.n > 1 {
			variances += c.sd * c.sd
			spreadCells++
			numbers[c.n]++
		}
		y = append(y, values...)
		for range values {
			level = append(level, lab)
		}
	}
	m.Mean = momentsOf(y).mean
	of := momentsOf(means)
	m.CellMean, m.SDOfMeans = of.mean, known(of.sd)
	if err := m.spreads(y, level); err != nil {
		return nil, err
	}
	for i := range m.Cells {
		c := &m.Cells[i]
		if of.sd > 0 {
			c.H = known((c.Mean - of.mean) / of.sd)
		}
		if c.SD != nil && variances > 0 && spreadCells > 1 {
			c.K = known(*c.SD / math.Sqrt(variances/float64(spreadCells)))
		}
	}
	of3 := [3]int{m.Labs, spreadCells, commonest(numbers)}
	if _, there := limits[of3]; !there {
		limits[of3] = critical(of3[0], of3[1], of3[2])
	}
	m.Critical = limits[of3]
	m.test()
	return m, nil
}

// commonest is the number of readings that most cells have, the larger of two.
func commonest(numbers map[int]int) int {
	best := 0
	for n, count := range numbers {
		if c := cmp.Compare(count, numbers[best]); c > 0 || c == 0 && n > best {
			best = n
		}
	}
	return best
}

// spreads fills s_r, s_L and s_R.
func (m *Material) spreads(y []float64, lab []int) error {
	within := float64(m.N - m.Labs)
	if m.Labs == 1 {
		if m.N > 1 {
			m.Repeatability = spread(square(momentsOf(y).sd), within)
		}
		return nil
	}
	if within == 0 { // one reading in each cell
		m.Reproducibility = spread(square(*m.SDOfMeans), float64(m.Labs-1))
		return nil
	}
	t, err := varcomp.Nested(y, []varcomp.Factor{{Name: "lab", Level: lab}}, "repeat")
	if err != nil {
		return fmt.Errorf("precision: %w", err)
	}
	m.Repeatability = spread(t.Lines[1].MS, within)
	between := max(0, t.Estimate[0])
	m.Between = known(math.Sqrt(between))
	total := between + t.Lines[1].MS
	both := []float64{1, 1}
	m.Reproducibility = &Spread{SD: math.Sqrt(total), DF: t.DF(both), Limit: pairLimit * math.Sqrt(total)}
	if t.Estimate[0] <= 0 {
		m.Reproducibility.DF = within
	}
	if total > 0 {
		m.Reproducibility.Interval = rootLimits(t, both)
	}
	if m.Equal {
		n := float64(m.Cells[0].N)
		sr := t.Lines[1].MS
		m.SRE691 = known(max(math.Sqrt(sr), math.Sqrt(square(*m.SDOfMeans)+sr*(n-1)/n)))
	}
	return nil
}

func square(x float64) float64 { return x * x }
