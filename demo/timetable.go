package demo

import (
	"math/rand/v2"
	"time"

	"fallwright.example/campaign"
)

// release is one entry of the timetable: a drop before its trace is made.
type release struct {
	Drop
	piece specimen // the specimen of a fall
	half  int      // half-day, from 0
}

// timetable is every release in the order of time.
func timetable(seed uint64) []release {
	draw := stream(seed, clockStream)
	var out []release
	for half, pieces := range order(seed) {
		at := halfDays[half]
		if half == 0 {
			for _, lot := range []string{Marram, Samphire} {
				out = append(out, release{half: half, Drop: Drop{Kind: campaign.Trial, At: at, Note: "off-cut of " + lot}})
				at += betweenTrials
			}
		}
		out = append(out, release{half: half, Drop: Drop{Kind: campaign.Check, At: at, Note: "reference rope"}})
		at += afterCheck
		for _, piece := range pieces {
			falls := series(piece, half, at, draw)
			out = append(out, falls...)
			at = falls[len(falls)-1].At + changeover + seconds(30*draw.Float64())
		}
	}
	for i := range out {
		out[i].Setting = Standard().Name
	}
	return out
}

// series is the releases of one specimen, the first at a time given.
func series(piece specimen, half int, at time.Duration, draw *rand.Rand) []release {
	var out []release
	add := func(d Drop) { out = append(out, release{Drop: d, piece: piece, half: half}) }
	for n := 1; n <= Falls; n++ {
		if n > 1 {
			at += rest + seconds(min(max(4*draw.NormFloat64(), -10), 10))
		}
		d := Drop{Kind: campaign.Fall, Specimen: piece.Label, Fall: n, At: at}
		switch {
		case piece.Label == overranOn && n == overranFall:
			at += overran
			d.At, d.Note = at, "the carriage jammed on its way up, rest overran"
		case piece.Label == lostOn && n == lostFall:
			d.VoidReason, d.VoidLoaded = lostReason, lostLoaded
		case piece.Label == hungUpOn && n == hungUpFall:
			d.VoidReason, d.VoidLoaded = hungUpReason, hungUpLoaded
			add(d)
			at += secondTry
			d = Drop{Kind: campaign.Fall, Specimen: piece.Label, Fall: n, At: at, Note: "second try"}
		}
		add(d)
	}
	return out
}

// seconds is a duration to the whole second, as a stopwatch is written down.
func seconds(s float64) time.Duration {
	return time.Duration(s * float64(time.Second)).Round(time.Second)
}
