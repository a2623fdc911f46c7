package dial

import (
	"math"
	"slices"
	"sync"

	"fallwright.example/fall"
)

// Ask answers the question: what to set next, and what to expect. It refuses, as
// problem.Problem, what check refuses and a window that no setting of the rig
// comes near.
func Ask(q Question) (*Answer, error) { return ask(q, unknownRope()) }

func ask(q Question, p *prior) (*Answer, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	d, err := newDesk(q, p)
	if err != nil {
		return nil, err
	}
	b := d.learn(everything)
	best := d.best(b)
	if best.surface == nil {
		return nil, d.noRoom()
	}
	if err := d.reach(b, best); err != nil {
		return nil, err
	}
	return d.answer(b, best)
}

// desk is a question with all that is simulated for it.
type desk struct {
	Question
	sim       simulator
	prior     *prior
	surfaces  []*surface
	trials    []*response
	published *response
}

func newDesk(q Question, p *prior) (*desk, error) {
	d := &desk{Question: q, prior: p, sim: simulator{prior: p, gravity: q.Rig.Gravity}}
	if err := d.survey(); err != nil {
		return nil, err
	}
	for _, t := range q.Trials {
		r, err := d.respond(t.Setting)
		if err != nil {
			return nil, err
		}
		d.trials = append(d.trials, r)
	}
	if f := q.Published; f != nil {
		var err error
		if d.published, err = d.sim.respond(Setting{f.Mass, f.Drop, f.FreeLength}); err != nil {
			return nil, err
		}
	}
	return d, nil
}

// respond is the response to a setting, by a surface that has it or by simulation.
func (d *desk) respond(at Setting) (*response, error) {
	for _, f := range d.surfaces {
		if root := math.Sqrt(at.Drop); f.mass == at.Mass && f.length == at.FreeLength && root >= f.roots[0] && root <= f.roots[drops-1] {
			return f.at(at.Drop), nil
		}
	}
	return d.sim.respond(at)
}

// survey simulates the surface of every mass with every free length, side by
// side.
func (d *desk) survey() error {
	var pairs []*surface
	for _, mass := range d.Rig.Masses {
		for _, length := range d.Rig.FreeLengths {
			if d.Rig.LowestDrop <= mostFactor*length {
				pairs = append(pairs, &surface{mass: mass, length: length})
			}
		}
	}
	errs := make([]error, len(pairs))
	var all sync.WaitGroup
	for i, f := range pairs {
		all.Go(func() {
			s := simulator{prior: d.prior, gravity: d.sim.gravity}
			errs[i] = s.survey(f, d.Rig.LowestDrop, min(d.Rig.HighestDrop, mostFactor*f.length))
		})
	}
	all.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	d.surfaces = pairs
	return nil
}

// everything leaves nothing out of what is learnt, and makers what is published.
const (
	everything = -1
	makers     = -2
)

// learn is the belief after everything that is known, but for one of the trials,
// or for what is published.
func (d *desk) learn(without int) *belief {
	b := believe(d.prior, d.Trials)
	if d.published != nil && without != makers {
		b.published(d.published, math.Log(d.Published.Force))
	}
	for i, t := range d.Trials {
		if i != without {
			b.observe(d.trials[i], math.Log(t.Peak), t.Fall, t.Specimen)
		}
	}
	return b
}

// candidate is a setting with the chance that its series stays in the window.
type candidate struct {
	surface *surface
	drop    float64
	series  float64
	worth   float64 // the same, or where there is next to none, by how much the middle of the window is missed, negative
}

func (c candidate) setting() Setting { return Setting{c.surface.mass, c.drop, c.surface.length} }

// better is by how much a mass or length further down the lists has to raise the
// chance to be chosen.
const better = 0.01

// best is the setting with the best chance of the series.
func (d *desk) best(b *belief) candidate {
	var best candidate
	for _, f := range d.surfaces {
		if c := d.bestDrop(b, f); c.surface != nil && (best.surface == nil || c.worth > best.worth+better) {
			best = c
		}
	}
	return best
}

// nextToNone is a chance that settings are not chosen by.
const nextToNone = 0.005

// bestDrop is the best drop of one surface. It looks at every so many of the
// drops, and then at those about the best.
func (d *desk) bestDrop(b *belief, f *surface) candidate {
	best, place := candidate{}, 0
	middle := math.Log(d.Window.Low*d.Window.High) / 2
	all := d.dropsOf(f)
	try := func(i int) {
		r := f.at(all[i])
		if !d.fits(b, r, f.length) {
			return
		}
		chance := b.seriesIn(r, d.Falls, d.Window)
		c := candidate{f, all[i], chance, chance}
		if chance < nextToNone {
			c.worth = -math.Abs(b.average(r) - middle)
		}
		if best.surface == nil || c.worth > best.worth+1e-9 {
			best, place = c, i
		}
	}
	stride := max(1, len(all)/coarse)
	for i := 0; i < len(all); i += stride {
		try(i)
	}
	try(len(all) - 1)
	for i, end := max(0, place-stride+1), min(len(all)-1, place+stride-1); i <= end; i++ {
		try(i)
	}
	return best
}

// coarse is how many drops are looked at before the finer look.
const coarse = 50

// dropsOf are the drops that can be set, at most some hundreds of them.
func (d *desk) dropsOf(f *surface) []float64 {
	highest := min(d.Rig.HighestDrop, mostFactor*f.length)
	step := d.Rig.DropStep
	first := math.Ceil(d.Rig.LowestDrop/step-1e-9) * step
	var out []float64
	for i := 0; ; i++ {
		drop := first + float64(i)*step
		if drop > highest+1e-9 {
			break
		}
		out = append(out, math.Round(drop*1e6)/1e6)
	}
	if len(out) == 0 {
		out = []float64{highest}
	}
	return out
}

// fits reports whether rope and stretch have room above the catch bed.
func (d *desk) fits(b *belief, r *response, length float64) bool {
	return d.Rig.Room == 0 || length+b.stretch(r, 0.99).High <= d.Rig.Room
}

// average is the mean of ln of the first peak.
func (b *belief) average(r *response) float64 {
	sum := 0.0
	for _, n := range b.foresee(r, 1, "") {
		sum += n.weight * n.mean
	}
	return sum
}

// stretch is how the stretch is distributed over the nodes, with a tenth of it
// for what the traits do.
func (b *belief) stretch(r *response, level float64) Band {
	m := make(mixture, len(b.weights))
	for k, w := range b.weights {
		m[k] = normal{w, math.Log(r.stretch[k]), 0.1}
	}
	return m.band(level)
}

func (d *desk) answer(b *belief, best candidate) (*Answer, error) {
	at := best.setting()
	r := best.surface.at(at.Drop)
	first := b.foresee(r, 1, "")
	a := &Answer{
		Next: at, Peak: first.band(d.Level), Last: b.foresee(r, max(1, d.Falls), "").band(d.Level), Series: best.series,
		Lands:  first.below(math.Log(d.Window.High)) - first.below(math.Log(d.Window.Low)),
		Factor: at.Drop / at.FreeLength, Stretch: b.stretch(r, d.Level), Rise: b.riseOf().band(d.Level), Spring: math.NaN(),
	}
	for _, x := range []*float64{&a.Rise.Low, &a.Rise.Middle, &a.Rise.High} {
		*x--
	}
	if m, err := fall.ModulusFromPeak(a.Peak.Middle, at.Mass, a.Factor, d.Rig.Gravity); err == nil {
		a.Spring = m
	}
	if err := d.slope(b, a); err != nil {
		return nil, err
	}
	d.seen(a)
	d.stop(b, best, r, a)
	d.warn(a)
	return a, nil
}

// slope fills in what a centimetre and a kilogram do, by differences over one of
// each to both sides.
func (d *desk) slope(b *belief, a *Answer) error {
	at := a.Next
	over := func(move func(s *Setting, by float64)) (float64, error) {
		var sides [2]float64
		for i := range sides {
			s := at
			move(&s, float64(1-2*i))
			r, err := d.respond(s)
			if err != nil {
				return 0, err
			}
			sides[i] = math.Exp(b.average(r))
		}
		return (sides[0] - sides[1]) / 2, nil
	}
	var err error
	if a.Per.Centimetre, err = over(func(s *Setting, by float64) { s.Drop = max(0, s.Drop+0.01*by) }); err != nil {
		return err
	}
	a.Per.Kilogram, err = over(func(s *Setting, by float64) { s.Mass += by })
	return err
}

// seen sets every trial beside what the others make of it.
func (d *desk) seen(a *Answer) {
	for i, t := range d.Trials {
		m := d.learn(i).foresee(d.trials[i], t.Fall, t.Specimen)
		a.Trials = append(a.Trials, Seen{t, m.band(d.Level), m.tail(math.Log(t.Peak))})
	}
}

// littleGain is the rise of the chance of the series that is not worth a trial
// drop.
const littleGain = 0.01

// stop decides whether to go on: one more trial is taken to come as expected.
func (d *desk) stop(b *belief, best candidate, r *response, a *Answer) {
	next := b.copy()
	next.observe(r, b.foresee(r, 1, "").quantile(0.5), 1, "")
	a.OneMore = max(best.series, d.best(next).series)
	switch {
	case slices.ContainsFunc(a.Trials, Seen.contradicts):
		a.Stop = Doubt
	case len(d.Trials) > 0 && a.Series >= d.Enough:
		a.Stop = Reached
	case len(d.Trials) > 0 && a.OneMore < a.Series+littleGain:
		a.Stop = NoGain
	default:
		a.Stop = GoOn
	}
}

// copy is a belief that can be led further without changing the first.
func (b *belief) copy() *belief {
	c := *b
	c.weights = append([]float64(nil), b.weights...)
	c.middle, c.spread = nil, nil
	for k := range b.weights {
		c.middle = append(c.middle, append([]float64(nil), b.middle[k]...))
		var rows [][]float64
		for _, row := range b.spread[k] {
			rows = append(rows, append([]float64(nil), row...))
		}
		c.spread = append(c.spread, rows)
	}
	return &c
}
