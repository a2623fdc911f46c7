package compare

import (
	"fmt"
	"slices"

	"fallwright.example/problem"
)

// Randomisation is a re-randomisation test: had the condition made no
// difference, each specimen would have given what it gave whichever condition it
// was dealt to, so the difference seen is one of those that dealing anew gives.
type Randomisation struct {
	// P is the share of arrangements whose difference of means is at least as
	// large as the one seen, either way; of a sample (1 + count)/(1 + draws).
	P            float64 `json:"p"`
	Arrangements int     `json:"arrangements"` // dealt: all of them when exact, else the draws
	Exact        bool    `json:"exact"`
	// Smallest is the p that these numbers of specimens could reach at best.
	Smallest  float64  `json:"smallest_p"`
	N         int      `json:"n"` // specimens of the condition
	NBaseline int      `json:"n_baseline"`
	Strata    string   `json:"strata"` // within what they were dealt: "rope"; empty: over all
	Seed      uint64   `json:"seed"`   // of the draws; 0 when exact
	LeftOut   []string `json:"left_out,omitempty"`
	Said      string   `json:"said"`
}

const (
	// mostArrangements are enumerated; more are sampled.
	mostArrangements = 200_000
	// draws is how often they are dealt when the arrangements are too many.
	draws = 20_000
)

// Randomise tests whether condition and base differ over falls (empty: all) by
// dealing the specimens anew [Pitman1937]. Each specimen counts by its mean over
// the falls, each alike, on the model's scale, and the statistic is the
// difference of the means of the two conditions, two-sided about its mean over
// all arrangements. Up to 200 000 arrangements are written out; of more, 20 000
// are dealt from the seed, and the one seen is counted among them
// [PhipsonSmyth2010].
//
// strata has a name for each row of the data; specimens are dealt within those
// of one name, as the plan dealt them. Nil deals over all. Specimens without a
// value at one of the falls are left out and named.
//
// Nothing is taken to be normal or of equal spread, only that specimens were
// dealt to the conditions by chance. The test knows no block, covariate or
// other condition.
//
// It refuses a condition or fall that is not there, a condition without a
// specimen that has all the falls, a specimen that was in both conditions,
// strata that change within a specimen, and several falls of rows without
// specimens.
func (a *Analysis) Randomise(condition, base string, falls []Fall, strata []string, seed uint64) (*Randomisation, error) {
	t := a.table
	falls, err := t.named(condition, base, falls)
	if err != nil {
		return nil, err
	}
	if n := len(a.data.Value); strata != nil && len(strata) != n {
		return nil, problem.New(problem.Invalid, "strata", "%d entries for %d rows, one a row is needed", len(strata), n)
	}
	seen, against := t.bring(condition, falls, nil), t.bring(base, falls, nil)
	if err := dealable(t, seen, against, falls); err != nil {
		return nil, err
	}
	into, err := t.strata(seen, against, strata)
	if err != nil {
		return nil, err
	}
	r := deal(into, seed)
	r.N, r.NBaseline = len(seen.value), len(against.value)
	for _, b := range []brought{seen, against} {
		for _, l := range b.lacking {
			r.LeftOut = append(r.LeftOut, l.specimen)
		}
	}
	r.Said = r.words()
	return r, nil
}

// named resolves falls, and refuses a condition or fall that the table lacks.
func (t *table) named(condition, base string, falls []Fall) ([]Fall, error) {
	for _, c := range []string{condition, base} {
		if !slices.Contains(t.condition.levels, c) {
			return nil, problem.New(problem.NotFound, "condition "+c, "no row with a value has it")
		}
	}
	if condition == base {
		return nil, problem.New(problem.Invalid, "condition "+condition, "compared with itself, two conditions are needed")
	}
	if len(falls) == 0 {
		return t.falls(), nil
	}
	out := make([]Fall, len(falls))
	for i, f := range falls {
		if out[i] = f.tidy(); !slices.Contains(t.falls(), out[i]) {
			return nil, problem.New(problem.NotFound, "fall "+string(f), "no row with a value has it")
		}
	}
	return out, nil
}

// dealable refuses what cannot be dealt anew.
func dealable(t *table, seen, base brought, falls []Fall) error {
	if len(t.specimen.levels) == 0 && len(falls) > 1 {
		return problem.New(problem.Invalid, "specimen", "no column says which rows are of one specimen, so several falls cannot be brought to one value")
	}
	for _, b := range []brought{seen, base} {
		if len(b.value) == 0 {
			return problem.New(problem.TooFew, "condition "+b.condition, "no specimen has values%s", fallWords(falls))
		}
	}
	for _, s := range seen.specimen {
		if slices.Contains(base.specimen, s) {
			return problem.New(problem.Invalid, "specimen "+s, "in condition %s and in %s, it was not dealt to one of them", seen.condition, base.condition)
		}
	}
	return nil
}

// strata groups the values of both conditions.
func (t *table) strata(seen, base brought, names []string) ([]stratum, error) {
	var out []stratum
	number := map[string]int{}
	for k, b := range []brought{seen, base} {
		for i, v := range b.value {
			name := ""
			if names != nil {
				name = names[t.of[b.rows[i][0]]]
				for _, r := range b.rows[i] {
					if other := names[t.of[r]]; other != name {
						return nil, problem.New(problem.Invalid, "specimen "+b.specimen[i], "in stratum %q and in %q, it was dealt once", name, other)
					}
				}
			}
			if _, known := number[name]; !known {
				number[name] = len(out)
				out = append(out, stratum{})
			}
			s := &out[number[name]]
			s.value = append(s.value, v)
			s.count += 1 - k
		}
	}
	return out, nil
}

// deal enumerates where it can and samples where it cannot.
func deal(into []stratum, seed uint64) *Randomisation {
	d := newDealing(into)
	total := d.arrangements()
	r := &Randomisation{Smallest: 1 / total}
	if d.mirrored() && total > 1 {
		r.Smallest = 2 / total
	}
	if total <= mostArrangements {
		r.Exact, r.Arrangements = true, int(total)
		r.P = float64(d.every()) / total
		return r
	}
	r.Arrangements, r.Seed = draws, seed
	r.Smallest = max(r.Smallest, 1./(1+draws))
	r.P = float64(1+d.some(draws, seed)) / (1 + draws)
	return r
}

// words say what was done and what it gave.
func (r *Randomisation) words() string {
	within, ways := "", fmt.Sprintf("in all %d ways", r.Arrangements)
	if r.Strata != "" {
		within = " within each " + r.Strata
	}
	if !r.Exact {
		ways = fmt.Sprintf("%d times by chance, seed %d", r.Arrangements, r.Seed)
	}
	text := fmt.Sprintf("%d and %d specimens dealt anew%s %s: p %.3g", r.N, r.NBaseline, within, ways, r.P)
	if len(r.LeftOut) > 0 {
		text += "; left out for want of a fall: " + some(r.LeftOut, 4)
	}
	if r.Smallest >= alpha {
		text += fmt.Sprintf("; so few can give no p below %.3g", r.Smallest)
	}
	return text
}
