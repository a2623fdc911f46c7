package dial

import (
	"fmt"
	"math"

	"fallwright.example/fall"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// newton and metre write amounts with their units.
func newton(v float64) string { return quantity.Format(round3(v), quantity.Force) }
func metre(v float64) string  { return quantity.Format(math.Round(v*100)/100, quantity.Length) }
func kilo(v float64) string   { return quantity.Format(round3(v), quantity.Mass) }

// round3 rounds to three digits.
func round3(v float64) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return v
	}
	scale := math.Pow(10, 2-math.Floor(math.Log10(math.Abs(v))))
	return math.Round(v*scale) / scale
}

// unlikely is the tail beyond which a trial contradicts the others.
const unlikely = 0.005

func (s Seen) contradicts() bool { return s.Tail < unlikely }

// contradictions are the trials that do not go with what else is known.
func (a *Answer) contradictions() []string {
	var out []string
	for i, t := range a.Trials {
		if !t.contradicts() {
			continue
		}
		against := "the other trial drops"
		if len(a.Trials) == 1 {
			against = "what ropes and rigs are like"
		}
		out = append(out, fmt.Sprintf("trial %d read %s, and %s put it at %s to %s: look at the cell's gain and zero, the guide, mass and height, and at what was typed, before you trust it",
			i+1, newton(t.Peak), against, newton(t.Expected.Low), newton(t.Expected.High)))
	}
	return out
}

// warn adds what the answer does not say by itself.
func (d *desk) warn(a *Answer) {
	a.Warnings = append(a.Warnings, a.contradictions()...)
	say := func(format string, args ...any) { a.Warnings = append(a.Warnings, fmt.Sprintf(format, args...)) }
	if d.published != nil {
		if m := d.learn(makers).foreseePublished(d.published); m.tail(math.Log(d.Published.Force)) < unlikely {
			band := m.band(d.Level)
			say("the published force of %s does not go with the rest, which puts it at %s to %s: look at its mass, drop and free length, or leave it out",
				newton(d.Published.Force), newton(band.Low), newton(band.High))
		}
	}
	room := math.Log(d.Window.High / d.Window.Low)
	if grows := math.Log(a.Last.Middle / a.Peak.Middle); d.Falls > 1 && grows > room {
		say("the peak rises by about %.0f %% over the %d falls of a series, and the window is %.0f %% wide: from %s it would have to reach to %s or more, or the series be shorter",
			100*math.Expm1(grows), d.Falls, 100*math.Expm1(room), newton(d.Window.Low), newton(d.Window.Low*math.Exp(grows)*1.06))
	}
	if a.Lands < 0.5 && atLimit(a.Next.Drop, d.Rig) {
		say("the drop is at the rig's limit of %s, and the peak outside the window: %s", metre(a.Next.Drop), d.remedy(a.Next, a.Peak.Middle))
	}
	if a.Stop == NoGain && d.Falls > 1 && !atLimit(a.Next.Drop, d.Rig) {
		say("what keeps the chance down is how specimens scatter and how the peak rises: drop the specimen of the last trial again to learn the rise")
	}
}

// atLimit reports whether a drop is the lowest or the highest of a rig.
func atLimit(drop float64, r Rig) bool {
	return drop <= r.LowestDrop+r.DropStep/2 || drop >= r.HighestDrop-r.DropStep/2
}

// hopeless is the chance of landing below which a window is out of reach.
const hopeless = 0.03

// reach refuses a window that no setting of the rig comes near, and says what
// would.
func (d *desk) reach(b *belief, best candidate) error {
	r := best.surface.at(best.drop)
	m := b.foresee(r, 1, "")
	lands := m.below(math.Log(d.Window.High)) - m.below(math.Log(d.Window.Low))
	if lands >= hopeless || !atLimit(best.drop, d.Rig) && best.drop < mostFactor*best.surface.length-d.Rig.DropStep {
		return nil
	}
	band, at := m.band(d.Level), best.setting()
	refused := problem.New(problem.Invalid, "window", "%s to %s is not reached on this rig: %s, a drop of %s and a free length of %s, what comes nearest, are likely to bring %s (%s to %s)",
		newton(d.Window.Low), newton(d.Window.High), kilo(at.Mass), metre(at.Drop), metre(at.FreeLength), newton(band.Middle), newton(band.Low), newton(band.High))
	var a Answer
	d.seen(&a)
	for _, why := range a.contradictions() { // first, as it may be why
		refused.Hint("%s", why)
	}
	return refused.Hint("%s", d.remedy(at, band.Middle))
}

// remedy says which drop or which mass would bring the peak to the middle of the
// window, by the spring rope that has the peak expected at a setting.
func (d *desk) remedy(at Setting, peak float64) string {
	g, target := d.Rig.Gravity, math.Sqrt(d.Window.Low*d.Window.High)
	modulus, err := fall.ModulusFromPeak(peak, at.Mass, at.Drop/at.FreeLength, g)
	if err != nil {
		return fmt.Sprintf("a mass of about %s, whose doubled weight is below the window", kilo(target/(3*g)))
	}
	low, high := 0.0, 100*at.Mass
	for range 60 {
		mid := (low + high) / 2
		if f, err := fall.PeakTension(max(mid, 1e-9), at.Drop, at.FreeLength, modulus, g); err != nil || f > target {
			high = mid
		} else {
			low = mid
		}
	}
	byMass := fmt.Sprintf("a mass of about %s at that drop would bring the middle of the window", kilo(low))
	factor, err := fall.FactorForPeak(target, at.Mass, modulus, g)
	switch drop := factor * at.FreeLength; {
	case err != nil:
		return byMass
	case factor > mostFactor:
		return byMass + ", or a shorter free length with a drop of twice it at most"
	default:
		return fmt.Sprintf("a drop of about %s, or ", metre(drop)) + byMass
	}
}

// noRoom refuses a rig on which nothing hangs clear of the catch bed.
func (d *desk) noRoom() error {
	if len(d.surfaces) == 0 {
		return problem.New(problem.Invalid, "lowest drop", "%s is more than twice every free length, and a mass cannot be lifted higher above the anchor than the rope is long", metre(d.Rig.LowestDrop)).
			Hint("lower the lowest drop, or take a longer rope")
	}
	least := math.Inf(1)
	for _, l := range d.Rig.FreeLengths {
		least = min(least, l)
	}
	return problem.New(problem.Invalid, "room", "%s from anchor to catch bed are not enough for %s of rope and its stretch, even from the lowest drop", metre(d.Rig.Room), metre(least)).
		Hint("shorten the rope, or state the room that there is")
}
