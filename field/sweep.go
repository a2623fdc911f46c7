package field

import "sync"

// Swept is one setting of a sweep.
type Swept struct {
	Setting float64
	Bands   *Bands
	Err     error
}

// apart is how far apart the settings are, of n, at which a sweep computes
// intervals: so that there are seven of them, or fewer.
func apart(n int) int { return max(1, (n+4)/6) }

// Sweep computes a catch at each of several settings, at once where there are
// processors for it; the order and the values do not depend on that. Failures
// stand beside their setting.
//
// Intervals are computed as Bands does at seven settings spread evenly, the first
// and the last among them; between two of those the distances of the limits from the value go in a
// straight line. Where that cannot be trusted, because of the falls computed at
// one of the two some meet the wall or the floor and others do not, or the two
// differ in that, or one of them failed, they are computed in between as well.
func Sweep(settings []float64, at func(setting float64) Doubt, o Options) []Swept {
	out := make([]Swept, len(settings))
	o.bare = true
	compute := func(i int, d Doubt) {
		b, err := d.Bands(o)
		out[i] = Swept{settings[i], b, err}
	}
	every := apart(len(settings))
	var whole, between []int
	for i := range settings {
		if i%every == 0 || i == len(settings)-1 {
			whole = append(whole, i)
		} else {
			between = append(between, i)
		}
	}
	inTurns(len(whole), func(k int) { compute(whole[k], at(settings[whole[k]])) })
	inTurns(len(between), func(k int) {
		i := between[k]
		before := i - i%every
		after := min(before+every, len(settings)-1)
		if d := at(settings[i]); alike(out[before], out[after]) {
			compute(i, Doubt{Make: func([]float64) (Catch, error) { return d.Make(d.Values) }})
			out[i].between(out[before], out[after])
		} else {
			compute(i, d)
		}
	})
	return out
}

// alike says whether intervals between two settings may be taken from theirs.
func alike(a, b Swept) bool {
	if a.Err != nil || b.Err != nil {
		return false
	}
	one := func(met, runs int) bool { return met == 0 || met == runs }
	x, y := a.Bands, b.Bands
	return one(x.WallMet, x.Runs) && one(x.FloorHit, x.Runs) && x.Runs == y.Runs && x.WallMet == y.WallMet && x.FloorHit == y.FloorHit
}

// between gives the setting the limits that lie between those of two others.
func (s *Swept) between(a, b Swept) {
	if s.Err != nil || s.Setting == a.Setting || s.Setting == b.Setting {
		return
	}
	s.Bands.Runs, s.Bands.WallMet, s.Bands.FloorHit = a.Bands.Runs, a.Bands.WallMet, a.Bands.FloorHit
	u := (s.Setting - a.Setting) / (b.Setting - a.Setting)
	low, high := a.Bands.intervals(), b.Bands.intervals()
	for k, to := range s.Bands.intervals() {
		to.Low = to.Value - (1-u)*(low[k].Value-low[k].Low) - u*(high[k].Value-high[k].Low)
		to.High = to.Value + (1-u)*(low[k].High-low[k].Value) + u*(high[k].High-high[k].Value)
		if to.Value >= 0 {
			to.Low = max(0, to.Low)
		}
	}
}

// inTurns calls do for 0 to n−1 from a few goroutines.
func inTurns(n int, do func(i int)) {
	_, _ = inParallel(n, func(i int) (struct{}, error) { do(i); return struct{}{}, nil })
}

// inParallel calls do for 0 to n−1 from a few goroutines and returns what they
// return in order, or the error of the lowest number.
func inParallel[T any](n int, do func(i int) (T, error)) ([]T, error) {
	const workers = 4
	out, errs := make([]T, n), make([]error, n)
	var group sync.WaitGroup
	for w := range min(workers, n) {
		group.Go(func() {
			for i := w; i < n; i += workers {
				out[i], errs[i] = do(i)
			}
		})
	}
	group.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}
